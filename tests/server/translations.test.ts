import { afterEach, beforeEach, describe, expect, it } from "vitest";
import { demoPlan } from "../../seed/scenario.ts";
import { draftOf, readPlan } from "../../server/lead/plan-form.ts";
import { planHash } from "../../src/design/seal.ts";
import { admitAmendment } from "../../src/experiment/amendment.ts";
import { type Plan, planSchema } from "../../src/experiment/plan.ts";
import { wordsToTranslate } from "../../src/experiment/translations.ts";
import { type House, openHouse } from "../app.ts";
import { closeSession, examplePlan, openSession } from "../sealed-session.ts";
import { ballotOn, firstOf, joined, traysOf } from "./taster-sitting.ts";

const german = {
  bright: "spritzig",
  sourness: "Säure",
  "not sour": "gar nicht sauer",
  "very sour": "sehr sauer",
  "magnesium chloride": "Magnesiumchlorid",
};
const translations = { de: german };
const withWords: Plan = { ...examplePlan, translations };

describe("A lead's own words in the taster's language", () => {
  let house: House;
  beforeEach(async () => {
    house = await openHouse();
  });
  afterEach(() => house.close());

  it("stand on every page of a taster who chose it, and as written for everyone else", async () => {
    const fixture = await openSession(house, { translations });
    const pages = async (language: string) => {
      const visitor = await joined(house, fixture, { language });
      const pair = firstOf(await traysOf(house, fixture, language === "de" ? 1 : 2), "ab");
      return [
        (await house.visitor().get(`/join/${fixture.joinCode}?language=${language}`)).body,
        (await visitor.get("/taste")).body,
        (await visitor.get(`/taste/${pair.ordinal}`)).body,
        (await visitor.post(`/taste/${pair.ordinal}`, { ...ballotOn(pair), step: "check" })).body,
      ];
    };
    const [join, all, set, review] = await pages("de");
    expect(join).toContain("Magnesiumchlorid");
    // What has no translation stays as it was written.
    expect(join).toContain("potassium bicarbonate");
    for (const page of [all, set]) {
      for (const word of ["spritzig", "Säure", "gar nicht sauer"]) expect(page).toContain(word);
    }
    expect(review).toContain("Säure");
    for (const page of [join, all, set, review]) {
      for (const word of ["magnesium chloride", "sourness", "very sour"]) {
        expect(page).not.toContain(word);
      }
    }
    const [englishJoin, englishAll] = await pages("en");
    expect(englishJoin).toContain("magnesium chloride");
    expect(englishAll).toContain("sourness");
    expect(englishAll).not.toContain("Säure");
  });

  it("stand in the demo for all that its tasters read in German", () => {
    expect(Object.keys(demoPlan.translations?.de ?? {})).toEqual(wordsToTranslate(demoPlan));
  });

  it("stand on paper ballots and among what is kept about a taster", async () => {
    const fixture = await openSession(house, { translations });
    const visitor = await joined(house, fixture, { language: "de" });
    const pair = firstOf(await traysOf(house, fixture), "ab");
    await visitor.post(`/taste/${pair.ordinal}`, ballotOn(pair));
    const lead = await house.signedInLead();
    const ballots = `/lead/sessions/${fixture.sessionId}/sheets/ballots`;
    expect((await lead.get(`${ballots}?language=de`)).body).toContain("sehr sauer");
    expect((await lead.get(`${ballots}?language=en`)).body).not.toContain("sehr sauer");
    await closeSession(house, fixture);
    expect((await visitor.get("/taste/data")).body).toContain("spritzig");
  });
});

describe("Translations in a plan", () => {
  it("are typed one a line, and read back as they were", () => {
    const draft = draftOf(withWords);
    expect(draft["translations.de"]?.split("\n")).toContain("sourness = Säure");
    expect(readPlan(draft)).toEqual({ ok: true, plan: withWords });
  });

  it("leave an older plan's hash alone where there are none", () => {
    const read = readPlan({ ...draftOf(examplePlan), "translations.de": " \n" });
    if (!read.ok) throw new Error(JSON.stringify(read.errors));
    expect(planHash(read.plan)).toBe(planHash(examplePlan));
  });

  it.each([
    ["brightness", "Write one a line"],
    ["bright = spritzig = hell", "Write one a line"],
    ["bright =", "Write the word after the equals sign"],
    ["body = Körper", "No question, substance or allergen says “body”; write it as there"],
  ])("“%s” is mended at its field", (typed, message) => {
    const read = readPlan({ ...draftOf(examplePlan), "translations.de": typed });
    if (read.ok) throw new Error("That was taken");
    expect(read.errors["translations.de"]).toContain(message);
  });

  it("match a word whatever its case and spaces", () => {
    const read = readPlan({ ...draftOf(examplePlan), "translations.de": " Very  Sour = sauer" });
    expect(read.ok).toBe(true);
  });

  it("may change while tasters sit, unless a substance they agreed to reads otherwise", () => {
    const amended = (words: Record<string, string>) =>
      admitAmendment({
        state: "sealed",
        planShared: false,
        joined: true,
        kitInUse: true,
        kitChanges: false,
        before: withWords,
        after: planSchema.parse({ ...withWords, translations: { de: words } }),
      });
    expect(amended({ ...german, bright: "hell" })).toMatchObject({ ok: true, kit: "kept" });
    const refused = { ok: false, refusal: "consent-given" };
    expect(amended({ ...german, "magnesium chloride": "Bittersalz" })).toEqual(refused);
  });
});
