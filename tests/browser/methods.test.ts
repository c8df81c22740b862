import type { Browser, BrowserContext } from "playwright-core";
import { afterAll, afterEach, beforeAll, beforeEach, describe, expect, it } from "vitest";
import { choosable } from "../../src/experiment/ballot.ts";
import { type House, openHouse } from "../app.ts";
import { openSession, otherMethods, type SealedFixture } from "../sealed-session.ts";
import { type Tray, traysOf } from "../server/taster-sitting.ts";
import { accessibilityProblems, DESK, launch, listen, PHONE, picture } from "./chromium.ts";
import { fillSet, joinOnPhone } from "./taster-phone.ts";

/** What a choice of the set's `place`th tile reads like. */
function tileText({ kind, codes }: Tray, place: number): string {
  const chosen = choosable(kind, codes)[place] ?? "";
  if (kind !== "tetrad") return chosen;
  const others = codes.slice(1).filter((code) => code !== chosen);
  return `${codes[0]}\u00a0+\u00a0${chosen} / ${others.join("\u00a0+\u00a0")}`;
}

describe.each(otherMethods)("A sitting with $name in a browser", ({ name, endpoints }) => {
  let browser: Browser;
  let house: House;
  let fixture: SealedFixture;
  let origin: string;
  let trays: Tray[];
  let context: BrowserContext;
  beforeAll(async () => {
    browser = await launch();
  });
  afterAll(() => browser.close());
  beforeEach(async () => {
    house = await openHouse();
    origin = await listen(house);
    fixture = await openSession(house, { endpoints });
    trays = await traysOf(house, fixture);
  });
  afterEach(async () => {
    await context.close();
    await house.close();
  });

  const stored = () =>
    house.deps.store
      .selectFrom("ballots")
      .innerJoin("presentations", "presentations.id", "ballots.presentation_id")
      .select(["presentations.ordinal", "ballots.answers_json"])
      .orderBy("presentations.ordinal")
      .execute();

  it("by touch: every set shows what can be chosen, is looked at once more and stored", async () => {
    context = await browser.newContext(PHONE);
    const phone = await joinOnPhone(context, origin, fixture.joinCode);
    const looked = new Set<string>();
    for (const tray of trays) {
      const shown = await phone
        .locator(".tiles:visible")
        .first()
        .locator("label")
        .allTextContents();
      const places = choosable(tray.kind, tray.codes).map((_, place) => tileText(tray, place));
      expect(shown).toEqual(places);
      await fillSet(phone, 1);
      if (!looked.has(tray.kind)) {
        expect(await accessibilityProblems(phone)).toEqual([]);
        await picture(phone, `method-${tray.kind}`);
      }
      await phone.getByRole("button", { name: "Look once more" }).click();
      expect(await phone.locator("#review dd").first().textContent()).toBe(tileText(tray, 1));
      if (!looked.has(tray.kind)) await picture(phone, `method-${tray.kind}-review`);
      looked.add(tray.kind);
      await phone.getByRole("button", { name: "Lock and go on" }).click();
    }
    await phone.locator("#all").waitFor();
    const answers = (await stored()).map(({ answers_json }) => JSON.parse(answers_json));
    const first = answers.map((own) => own.e1?.chosen ?? own.e6?.chosen ?? own.e2?.chosen);
    expect(first).toEqual(trays.map(({ kind, codes }) => choosable(kind, codes)[1]));
  });

  it("without scripts: the same choices, reviewed and locked page by page", async () => {
    context = await browser.newContext({ ...PHONE, javaScriptEnabled: false });
    const phone = await joinOnPhone(context, origin, fixture.joinCode);
    for (const tray of trays) {
      await phone.goto(`${origin}/taste/${tray.ordinal}`);
      await fillSet(phone, 1);
      await phone.getByRole("button", { name: "Look once more" }).click();
      expect(await phone.locator("dd").first().textContent()).toBe(tileText(tray, 1));
      await phone.getByRole("button", { name: "Lock and go on" }).click();
    }
    expect(await stored()).toHaveLength(trays.length);
  });

  it("on paper: tray sheets name the reference, paper ballots offer the same choices", async () => {
    context = await browser.newContext(DESK);
    const desk = await context.newPage();
    const lead = await house.signedInLead();
    await context.addCookies(
      [...lead.cookies].map(([cookie, value]) => ({ name: cookie, value, url: origin })),
    );
    const sheets = `${origin}/lead/sessions/${fixture.sessionId}/sheets`;
    await desk.goto(`${sheets}/trays`);
    const references = await desk.getByText("reference", { exact: true }).count();
    const duoTrios = trays.filter(({ kind }) => kind === "duo-trio").length;
    expect(references).toBe(duoTrios * (fixture.plan.tasters + fixture.plan.spareSeats));
    await picture(desk, `trays-${name}`);
    await desk.goto(`${sheets}/ballots?language=en`);
    const paper = await desk.locator(".paper-ballot").first().textContent();
    for (const tray of trays) expect(paper).toContain(tileText(tray, 0));
    await picture(desk, `paper-${name}`);
  });
});
