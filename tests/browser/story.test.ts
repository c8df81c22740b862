import type { Browser, BrowserContext, Page } from "playwright-core";
import { afterAll, beforeAll, describe, expect, it } from "vitest";
import { type TrueSet, trueSets } from "../../seed/truth.ts";
import { makeInvitation } from "../../server/lead/invitation.ts";
import { eventsOf } from "../../server/store/events.ts";
import { verifyChain } from "../../src/experiment/event.ts";
import { type House, LEAD, openHouse } from "../app.ts";
import { accessibilityProblems, DESK, launch, listen, PHONE, picture } from "./chromium.ts";

const TASTERS = 12;
const WITHOUT_SCRIPTS = 3;
const RELOADS = 5;
const LOSES_NETWORK = 8;

/** What each taster answers, by a rule that the test can count by itself. */
const answers = {
  findsOdd: (set: TrueSet) =>
    set.control === null
      ? (set.seat + Number(set.coffeeId.slice(1))) % 2 === 0
      : set.seat % 3 === 0,
  picksB: (set: TrueSet) => (set.seat * 7 + set.ordinal) % 5 !== 0,
  scoreOf: (set: TrueSet, treatment: "A" | "B") =>
    40 + (set.seat % 5) + (treatment === "B" ? 5 + (set.seat % 3) : 0),
};

/** P(X ≥ x) for n triangles answered by guessing, as an exact fraction. */
function triangleTail(right: number, of: number): number {
  const choose = (n: number, k: number): bigint =>
    k === 0 ? 1n : (choose(n - 1, k - 1) * BigInt(n)) / BigInt(k);
  let ways = 0n;
  for (let k = right; k <= of; k += 1) ways += choose(of, k) * 2n ** BigInt(of - k);
  return Number((ways * 10n ** 15n) / 3n ** BigInt(of)) / 1e15;
}

/** Two-sided share of all sign patterns whose sum is as far from 0 as the sums as they are. */
function signFlip(sums: readonly number[]): number {
  const seen = Math.abs(sums.reduce((total, sum) => total + sum, 0));
  let asFar = 0;
  for (let pattern = 0; pattern < 2 ** sums.length; pattern += 1) {
    const flipped = sums.reduce((total, sum, at) => total + ((pattern >> at) & 1 ? sum : -sum), 0);
    if (Math.abs(flipped) >= seen) asFar += 1;
  }
  return asFar / 2 ** sums.length;
}

describe("A tasting from question to report, in real browsers", () => {
  let browser: Browser;
  let house: House;
  let origin: string;
  let desk: Page;
  let sessionId: string;
  let sets: TrueSet[];
  beforeAll(async () => {
    browser = await launch();
    house = await openHouse();
    origin = await listen(house);
    desk = await (await browser.newContext(DESK)).newPage();
  });
  afterAll(async () => {
    await browser.close();
    await house.close();
  });

  const checked = async (page: Page, name: string) => {
    await picture(page, `story-${name}`);
    expect(await accessibilityProblems(page), name).toEqual([]);
  };

  it("the lead sets up the installation and writes a plan", async () => {
    const token = await makeInvitation(house.deps, { purpose: "set-up", leadId: null });
    await desk.goto(`${origin}/enter/${token}`);
    await checked(desk, "set-up");
    await desk.getByLabel("Your name").fill(LEAD.name);
    await desk.getByLabel("Passphrase", { exact: true }).fill(LEAD.passphrase);
    await desk.getByLabel("The same passphrase again").fill(LEAD.passphrase);
    await desk.getByRole("button", { name: "Save and go on" }).click();
    await checked(desk, "no-experiments");
    await desk.goto(`${origin}/lead/experiments/new`);
    const fields: Record<string, string> = {
      title: "Rest of the dark roasts",
      question: "Does a week more of rest change the cup?",
      hypothesis: "Rested longer tastes sweeter.",
      "treatments.A.name": "Seven days",
      "treatments.A.description": "Rested for seven days in the bag.",
      "treatments.B.name": "Fourteen days",
      "treatments.B.description": "Rested for fourteen days in the bag.",
      substances: "none besides coffee",
      coffees: "Sallow, light\nAnvil, medium-dark\nCinder, dark",
      tasters: String(TASTERS),
      spareSeats: "2",
      brewPairsPerCoffee: "1",
      brewers: "Left\nRight",
      "direction.0.attribute": "sweetness",
      "direction.0.margin": "30",
      "score.0.attribute": "body",
      "score.0.lowAnchor": "thin",
      "score.0.highAnchor": "full",
      "score.0.margin": "8",
    };
    for (const closed of await desk.locator("form details > summary").all()) {
      await closed.click();
    }
    for (const [name, value] of Object.entries(fields))
      await desk.locator(`[name="${name}"]`).fill(value);
    const choices = {
      "overall.role": "primary",
      "direction.0.role": "secondary",
      "score.0.role": "exploratory",
      "preference.role": "",
      "yield.role": "",
    };
    for (const [name, value] of Object.entries(choices)) {
      await desk.locator(`select[name="${name}"]`).selectOption(value);
    }
    await desk.getByRole("button", { name: /^Save/ }).first().click();
    await checked(desk, "plan-saved");
    expect(await desk.getByText("Please mend").count()).toBe(0);
  });

  it("seals a session under it and opens the room", async () => {
    await desk.getByLabel("Name of the session").fill("Thursday");
    await desk.getByRole("button", { name: "Set up the session" }).click();
    await checked(desk, "seal");
    await desk.getByRole("button", { name: "Seal the plan" }).click();
    sessionId = /sessions\/([^/?]+)/.exec(desk.url())?.[1] ?? "";
    await checked(desk, "sealed");
    await desk.locator('form[action$="/opening"] button').click();
    await checked(desk, "open");
    sets = await trueSets(house.deps.store, sessionId);
    expect(sets.filter(({ seat }) => seat === 1)).toHaveLength(7);
  });

  it("twelve tasters answer on phones: one without scripts, one reloads, one loses the network", async () => {
    const session = await house.deps.store
      .selectFrom("sessions")
      .select("join_code")
      .where("id", "=", sessionId)
      .executeTakeFirstOrThrow();
    for (let seat = 1; seat <= TASTERS; seat += 1) {
      const phone = await browser.newContext({
        ...PHONE,
        javaScriptEnabled: seat !== WITHOUT_SCRIPTS,
      });
      const page = await phone.newPage();
      await page.goto(`${origin}/join/${session.join_code}?language=en`);
      await page.getByLabel("Your name or initials").fill(`T${seat}`);
      for (const box of await page.getByRole("checkbox").all()) await box.check();
      await page.getByRole("button", { name: "Join" }).click();
      await page.waitForURL("**/taste*");
      await tasteAll(page, phone, seat);
      await phone.close();
    }
    const stored = await house.deps.store.selectFrom("ballots").select("id").execute();
    expect(stored).toHaveLength(7 * TASTERS);
  });

  async function tasteAll(page: Page, phone: BrowserContext, seat: number): Promise<void> {
    const own = sets.filter((set) => set.seat === seat);
    for (const set of own) {
      await fill(page, set);
      if (seat === RELOADS && set.ordinal === 3) {
        await page.reload();
        await expectStillFilled(page, set);
      }
      if (seat === LOSES_NETWORK && set.ordinal === 4) await phone.setOffline(true);
      await page.getByRole("button", { name: "Look once more" }).click();
      await page.getByRole("button", { name: "Lock and go on" }).click();
      if (seat === LOSES_NETWORK && set.ordinal === 5) {
        const kept = /^No network now: 2 of 7 answers are kept on this phone/;
        await page.locator("#status").filter({ hasText: kept }).waitFor();
        await phone.setOffline(false);
      }
    }
    await page.getByRole("heading", { name: /thank/i }).waitFor();
    await expect
      .poll(async () => (await ballotsOf(seat)).length, { timeout: 20_000 })
      .toBe(own.length);
  }

  const codeOf = (set: TrueSet, treatment: "A" | "B") =>
    set.cups.find((cup) => cup.treatment === treatment)?.code ?? "";

  function choiceFor(set: TrueSet): string {
    if (set.set === "ab") return codeOf(set, answers.picksB(set) ? "B" : "A");
    const wrong = set.choices.find((code) => code !== set.rightCode) ?? "";
    return answers.findsOdd(set) ? (set.rightCode ?? "") : wrong;
  }

  async function fill(page: Page, set: TrueSet): Promise<void> {
    await page.locator(`input[type="radio"][value="${choiceFor(set)}"]:visible`).check();
    if (set.set !== "ab") return;
    for (const { code, treatment } of set.cups) {
      const score = String(answers.scoreOf(set, treatment));
      await page.locator(`.score input[name$="-${code}"]:visible`).fill(score);
    }
  }

  async function expectStillFilled(page: Page, set: TrueSet): Promise<void> {
    expect(await page.locator(`input[value="${choiceFor(set)}"]:visible`).isChecked()).toBe(true);
  }

  const ballotsOf = (seat: number) =>
    house.deps.store
      .selectFrom("ballots")
      .innerJoin("presentations", "presentations.id", "ballots.presentation_id")
      .innerJoin("seats", "seats.id", "presentations.seat_id")
      .select("ballots.id")
      .where("seats.number", "=", seat)
      .where("seats.session_id", "=", sessionId)
      .execute();

  it("the lead sees who has answered, closes and unblinds", async () => {
    await desk.goto(`${origin}/lead/sessions/${sessionId}/room`);
    await checked(desk, "room");
    await desk.goto(`${origin}/lead/sessions/${sessionId}/closure`);
    await checked(desk, "close");
    await desk.locator('form[action$="/closure"] button').click();
    await desk.goto(`${origin}/lead/sessions/${sessionId}/unblinding`);
    await checked(desk, "unblind");
    await desk.locator('form[action$="/unblinding"] button').click();
    expect(verifyChain(await eventsOf(house.deps.store, sessionId)).ok).toBe(true);
  });

  it("the report shows the numbers that this test counts by itself", async () => {
    await desk.goto(`${origin}/lead/sessions/${sessionId}/report`);
    const page = (await desk.locator("main").textContent()) ?? "";
    const tested = sets.filter(({ seat, control }) => seat <= TASTERS && control === null);
    const triangles = tested.filter(({ set }) => set === "triangle");
    const right = triangles.filter(answers.findsOdd).length;
    expect(page).toContain(`${right} of ${triangles.length} picked the odd cup`);
    expect(page).toContain(triangleTail(right, triangles.length).toFixed(4));

    const pairs = tested.filter(({ set }) => set === "ab");
    const picked = pairs.filter(answers.picksB).length;
    expect(page).toContain(`was picked ${picked} of ${pairs.length} times`);
    const sums = Array.from({ length: TASTERS }, (_, at) =>
      pairs
        .filter(({ seat }) => seat === at + 1)
        .reduce((sum, set) => sum + (answers.picksB(set) ? 1 : -1), 0),
    );
    expect(page).toContain(signFlip(sums).toFixed(4));
    expect(page).toContain("+6.0");
    // Every taster scored B five to seven points above A, so only the two patterns of equal signs are as far.
    expect(page).toContain((2 / 2 ** TASTERS).toFixed(4));
    expect(page).toContain("Nothing can be said beyond these pots");
    await checked(desk, "report");
  });

  it("a manager reads it through a link until it is revoked, and it prints", async () => {
    await desk.goto(`${origin}/lead/sessions/${sessionId}/links`);
    await desk.getByLabel(/^Report:/).check();
    await desk.getByRole("button", { name: "Make the link" }).click();
    const address = (await desk.locator("code.link").first().textContent()) ?? "";
    const path = new URL(address).pathname;
    await checked(desk, "links");
    const phone = await browser.newContext(PHONE);
    const manager = await phone.newPage();
    await manager.goto(`${origin}${path}`);
    await expect(manager.locator("h1").textContent()).resolves.toMatch(/Different|Not settled/);
    await checked(manager, "report-phone");
    const wider = await manager.evaluate("document.documentElement.scrollWidth - innerWidth");
    expect(wider).toBe(0);
    const pdf = await manager.pdf({ format: "A4" });
    expect(pdf.subarray(0, 5).toString()).toBe("%PDF-");
    await desk
      .getByRole("button", { name: /^Revoke/ })
      .first()
      .click();
    const gone = await manager.goto(`${origin}${path}`);
    expect(gone?.status()).toBe(404);
    await phone.close();
  });
});
