import { cpSync, mkdtempSync, readFileSync, rmSync, writeFileSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { afterEach, beforeEach, describe, expect, it } from "vitest";
import { templatesFolder } from "../../server/render.ts";
import { loadLanguages } from "../../server/taster/languages.ts";
import { say } from "../../server/taster/messages.ts";
import { type CautionPlan, notices } from "../../src/safety/notices.ts";
import { type House, openHouse } from "../app.ts";
import { openSession } from "../sealed-session.ts";
import { ballotOn, firstOf, joined, traysOf } from "./taster-sitting.ts";

const folder = `${templatesFolder}/taster/messages`;
const languages = loadLanguages(folder);

/** All texts of a language by their path. */
function textsOf(messages: object, path = ""): [string, string][] {
  return Object.entries(messages).flatMap(([key, value]): [string, string][] =>
    typeof value === "string" ? [[path + key, value]] : textsOf(value, `${path}${key}.`),
  );
}
const [english, german] = ["en", "de"].map((tag) => textsOf(languages.choose(tag).messages));

describe("The taster's languages", () => {
  it("are complete and have the same texts", () => {
    expect(languages.all.map(({ tag }) => tag)).toEqual(["de", "en"]);
    expect(german?.map(([path]) => path).toSorted()).toEqual(
      english?.map(([path]) => path).toSorted(),
    );
  });

  it("name the same values in each text", () => {
    const values = (texts: [string, string][] = []) =>
      new Map(texts.map(([path, text]) => [path, text.match(/\{\w+\}/g)?.toSorted() ?? []]));
    expect(values(german)).toEqual(values(english));
  });

  it("have every caution that a taster may be given, whatever the plan", () => {
    const plans: CautionPlan[] = [
      { cups: 12, millilitresPerCup: 30, servingTemperature: 67, substances: ["salt"] },
      { cups: 60, millilitresPerCup: 30, allergens: ["milk"] },
      { cups: 24, millilitresPerCup: 30, swallowedFraction: 0.3 },
      {
        cups: 12,
        millilitresPerCup: 30,
        addedMilligramsPerLitre: { potassium: 30, sodium: 30, magnesium: 30 },
      },
    ];
    const given = plans.flatMap(notices).filter((notice) => notice.audience.includes("taster"));
    expect(new Set(given.map(({ code }) => code)).size).toBeGreaterThan(10);
    for (const { messages } of languages.all) {
      for (const { code, values } of given) {
        expect(say(messages.cautions[code] ?? "", values)).not.toBe("");
      }
    }
  });

  it("are chosen by the address, then by the browser, then English", () => {
    const tag = (asked: unknown, header?: string) => languages.choose(asked, header).tag;
    expect(tag("de", "en")).toBe("de");
    expect(tag(undefined, "fr-CH, de-CH;q=0.8, en;q=0.7")).toBe("de");
    expect(tag(undefined, "en;q=0.3, de;q=0.9")).toBe("de");
    expect(tag("fr", "fr")).toBe("en");
    expect(tag(["de", "en"])).toBe("en");
  });

  it("grow by one with one more file, and an incomplete file is named at the start", () => {
    const copy = mkdtempSync(join(tmpdir(), "languages-"));
    cpSync(folder, copy, { recursive: true });
    writeFileSync(join(copy, "sv.json"), readFileSync(join(folder, "en.json")));
    expect(loadLanguages(copy).choose("sv").tag).toBe("sv");
    writeFileSync(join(copy, "sv.json"), '{"languageName":"Svenska"}');
    expect(() => loadLanguages(copy)).toThrow(/sv\.json is no complete language: codeTitle/);
    rmSync(copy, { recursive: true });
  });
});

describe("A taster who chose German", () => {
  let house: House;
  beforeEach(async () => {
    house = await openHouse();
  });
  afterEach(() => house.close());

  it("reads no English text on any page, message or error", async () => {
    const fixture = await openSession(house);
    const visitor = await joined(house, fixture, { language: "de" });
    const pair = firstOf(await traysOf(house, fixture), "ab");
    const address = `/taste/${pair.ordinal}`;
    const pages = [
      await house.visitor().get(`/join/${fixture.joinCode}?language=de`),
      await house.visitor().get("/join/CCCCCC?language=de"),
      await house.visitor().get("/join/sit-out?language=de"),
      await visitor.get("/taste"),
      await visitor.post(address, {}),
      await visitor.post(address, { key: "a-key-of-the-phone-1" }),
      await visitor.post(address, { ...ballotOn(pair), step: "check", comment: "Fein" }),
      await visitor.post(address, { ...ballotOn(pair), _csrf: "forged" }),
      await visitor.post(address, ballotOn(pair)),
      await visitor.post(address, ballotOn(pair, 1)),
      await visitor.get("/taste/99"),
      await visitor.get("/taste/stop"),
    ];
    const differing = english?.filter(
      ([path, text]) => path !== "languageName" && !german?.some(([, other]) => other === text),
    );
    expect(differing?.length).toBeGreaterThan(100);
    for (const page of pages) {
      if (page.body === "") continue;
      expect(page.body).toContain('lang="de"');
      const shown = page.body.replaceAll("&#x27;", "'").split(/<[^>]*>/);
      for (const [, text] of differing ?? []) expect(shown).not.toContain(text);
    }
    expect(pages.map((page) => page.body).join("")).toContain("Welche Tasse");
  });
});
