import { afterEach, beforeEach, describe, expect, it } from "vitest";
import { z } from "zod";
import { eraseNames } from "../../server/store/names.ts";
import { verifyStore } from "../../server/store/verification.ts";
import type { Plan } from "../../src/experiment/plan.ts";
import { type House, openHouse, type Visitor } from "../app.ts";
import { openSession, type SealedFixture } from "../sealed-session.ts";
import { logged, recordIncident, textOfPage } from "./incidents-room.ts";
import { joined } from "./taster-sitting.ts";

/** "Brighter?", two-sided: tasters times four pairs of one coffee, nothing else. */
const fourPairs = (tasters: number): Partial<Plan> => ({
  coffees: [{ id: "c1", name: "Bramble", roast: "medium" }],
  endpoints: [
    {
      id: "e1",
      role: "primary",
      kind: "direction",
      attribute: "bright",
      expected: null,
      margin: 0.3,
    },
  ],
  tasters,
  spareSeats: 0,
  brewPairsPerCoffee: 4,
  controls: { samePot: 0, sameTreatmentPairsPerCoffee: 0 },
  brewers: ["North"],
});

/** Twice P(X ≥ picks) of fair throws, by counting: Pascal's triangle in whole numbers. */
function twoTails(picks: number, of: number): number {
  let ways = 0n;
  let row = 1n;
  for (let k = 0; k <= of; k += 1) {
    if (k >= picks) ways += row;
    row = (row * BigInt(of - k)) / BigInt(k + 1);
  }
  return Number(2n * ways) / 2 ** of;
}

const publishedSchema = z.object({
  evidence: z.object({
    ballots: z.array(
      z.object({
        ordinal: z.number(),
        cups: z.array(z.object({ code: z.string(), treatment: z.string() })),
      }),
    ),
    mixUps: z.array(
      z.object({ ordinal: z.number(), codes: z.array(z.string()), resolution: z.string() }),
    ),
  }),
  findings: z.object({
    headline: z.string(),
    endpoints: z.array(
      z.object({
        counts: z.object({ answers: z.number(), pickedB: z.number() }),
        difference: z.object({ pValue: z.number() }),
        companions: z.object({ strictBinomialPValue: z.number() }),
      }),
    ),
    mixUps: z
      .object({
        leads: z.string(),
        readings: z.array(
          z.object({
            reading: z.string(),
            headline: z.string(),
            endpoints: z.array(
              z.object({
                counts: z.object({ answers: z.number(), pickedB: z.number() }),
                pValue: z.number(),
                strictBinomialPValue: z.number(),
              }),
            ),
          }),
        ),
      })
      .nullable(),
  }),
});

describe("What incidents do to the report", () => {
  let house: House;
  let lead: Visitor;
  beforeEach(async () => {
    house = await openHouse();
    lead = await house.signedInLead();
  });
  afterEach(() => house.close());

  /** The code of each treatment on a tray, read past the program. */
  const codesOf = async ({ sessionId }: SealedFixture, seat: number, ordinal: number) => {
    const cups = await house.deps.store
      .selectFrom("cups")
      .innerJoin("cup_keys", "cup_keys.cup_id", "cups.id")
      .innerJoin("pot_keys", "pot_keys.pot_id", "cup_keys.pot_id")
      .innerJoin("presentations", "presentations.id", "cups.presentation_id")
      .innerJoin("seats", "seats.id", "cups.seat_id")
      .select(["cups.code", "pot_keys.treatment"])
      .where("seats.session_id", "=", sessionId)
      .where("seats.number", "=", seat)
      .where("presentations.ordinal", "=", ordinal)
      .execute();
    const code = (treatment: string) => cups.find((cup) => cup.treatment === treatment)?.code ?? "";
    return { A: code("A"), B: code("B") };
  };

  const answer = async (
    fixture: SealedFixture,
    taster: Visitor,
    where: { seat: number; ordinal: number; picks: "A" | "B" },
  ) => {
    const codes = await codesOf(fixture, where.seat, where.ordinal);
    return await taster.post(`/taste/${where.ordinal}`, {
      key: `a-key-of-the-phone-${where.ordinal}`,
      step: "lock",
      e1: codes[where.picks],
    });
  };

  /** Everyone answers all four pairs, B in as many of the first as given. Returns the tasters. */
  const tasteAll = async (fixture: SealedFixture, picksOfB: readonly number[]) => {
    const tasters: Visitor[] = [];
    for (const [at, ofB] of picksOfB.entries()) {
      const taster = await joined(house, fixture, { name: `T${at + 1}` });
      for (const ordinal of [1, 2, 3, 4]) {
        const picks = ordinal <= ofB ? "B" : "A";
        const sent = await answer(fixture, taster, { seat: at + 1, ordinal, picks });
        expect(sent.statusCode).toBe(303);
      }
      tasters.push(taster);
    }
    return tasters;
  };

  const published = async ({ sessionId }: SealedFixture) => {
    for (const act of ["closure", "unblinding"]) {
      const done = await lead.post(`/lead/sessions/${sessionId}/${act}`, {});
      expect(done.statusCode).toBe(303);
    }
    const file = await lead.get(`/lead/sessions/${sessionId}/report/session.json`);
    const page = await lead.get(`/lead/sessions/${sessionId}/report`);
    return { ...publishedSchema.parse(file.json()), page: textOfPage(page.body) };
  };

  /** Three of four for B from eight tasters, two from one, one from one: 27 of 40. */
  const mixedTray = [3, 3, 3, 3, 3, 3, 3, 3, 2, 1];

  const mixUp = async (resolution: "corrected" | "voided") => {
    const fixture = await openSession(house, fourPairs(10));
    await tasteAll(fixture, mixedTray);
    const { A, B } = await codesOf(fixture, 7, 2);
    const form = { seat: "7", code: A, otherCode: B, resolution, witness: "K. L." };
    expect((await recordIncident(lead, fixture, "mix-up", form)).recorded.statusCode).toBe(303);
    return { fixture, codes: [A, B] };
  };

  /**
   * Strictly: 27 of 40, 26 of 40, 26 of 39 (noted as 0.039, 0.081 and 0.053). By taster (exact sign
   * flips): 2·10/2^9, 2·9/2^8 and, with one taster's three answers, 2·10/2^9 again.
   */
  const readings = [
    { reading: "as-scored", ofB: 27, answers: 40, noted: 0.039, byTaster: 20 / 512 },
    { reading: "corrected", ofB: 26, answers: 40, noted: 0.081, byTaster: 18 / 256 },
    { reading: "voided", ofB: 26, answers: 39, noted: 0.053, byTaster: 20 / 512 },
  ];

  it.each(["corrected", "voided"] as const)(
    "a tray mixed up and %s is analysed as scored, corrected and voided, and the weakest leads",
    async (resolution) => {
      const { fixture, codes } = await mixUp(resolution);
      const { evidence, findings, page } = await published(fixture);
      expect(findings.mixUps?.leads).toBe("corrected");
      expect(findings.mixUps?.readings).toHaveLength(3);
      for (const { reading, ofB, answers, noted, byTaster } of readings) {
        const found = findings.mixUps?.readings.find((one) => one.reading === reading);
        expect(found?.endpoints[0]?.counts).toMatchObject({ pickedB: ofB, answers });
        const strict = found?.endpoints[0]?.strictBinomialPValue ?? Number.NaN;
        expect(strict).toBeCloseTo(twoTails(ofB, answers), 12);
        expect(Math.abs(strict - noted)).toBeLessThan(0.001);
        expect(found?.endpoints[0]?.pValue).toBeCloseTo(byTaster, 12);
      }
      const [primary] = findings.endpoints;
      expect(primary?.counts).toMatchObject({ answers: 40, pickedB: 26 });
      expect(primary?.companions.strictBinomialPValue).toBeCloseTo(twoTails(26, 40), 12);
      expect(primary?.difference.pValue).toBeCloseTo(18 / 256, 12);
      // As scored it would have read Different.
      expect(findings.mixUps?.readings[0]?.headline).toBe("different");
      expect(findings.headline).toBe("not-settled");
      expect(page).toMatch(/^ .*Not settled/);
      expect(page).toContain("the weakest leads: with the exchanged codes corrected");
      expect(page).toContain("0.0807");
      expect(page).not.toContain("0.0385");
      // Both keys are kept: ballots as sealed, and which two codes were exchanged.
      expect(evidence.mixUps).toEqual([{ ordinal: 2, codes, resolution }]);
      const cups = evidence.ballots.flatMap((ballot) => ballot.cups);
      expect(cups.find(({ code }) => code === codes[0])).toBeDefined();
    },
  );

  it("a mixed-up set that was voided and served again counts once in every reading", async () => {
    const fixture = await openSession(house, fourPairs(10));
    const tasters = await tasteAll(fixture, mixedTray);
    const { A, B } = await codesOf(fixture, 7, 2);
    await recordIncident(lead, fixture, "mix-up", {
      seat: "7",
      code: A,
      otherCode: B,
      resolution: "voided",
    });
    const again = await recordIncident(lead, fixture, "again", { seat: "7", set: "2" });
    expect(again.recorded.statusCode).toBe(303);
    const seventh = tasters[6];
    if (seventh === undefined) throw new Error("Nobody on seat 7");
    const sent = await answer(fixture, seventh, { seat: 7, ordinal: 5, picks: "A" });
    expect(sent.statusCode).toBe(303);
    const { findings } = await published(fixture);
    const counts = findings.mixUps?.readings.map(({ endpoints }) => endpoints[0]?.counts);
    expect(counts?.map((one) => [one?.pickedB, one?.answers])).toEqual([
      [27, 40],
      [26, 40],
      [26, 40],
    ]);
  });

  it("a session with every incident in its log still verifies, and its witness can be erased", async () => {
    const fixture = await openSession(house, fourPairs(2));
    const [first] = await tasteAll(fixture, [2]);
    const second = await joined(house, fixture);
    const { A, B } = await codesOf(fixture, 1, 2);
    const { recorded } = await recordIncident(lead, fixture, "mix-up", {
      seat: "1",
      code: A,
      otherCode: B,
      resolution: "corrected",
      witness: "K. L.",
    });
    expect(recorded.statusCode).toBe(303);
    const spilled = (await codesOf(fixture, 2, 1)).A;
    await recordIncident(lead, fixture, "spill", { seat: "2", code: spilled, inWindow: "yes" });
    await answer(fixture, second, { seat: 2, ordinal: 1, picks: "A" });
    await recordIncident(lead, fixture, "pause");
    await recordIncident(lead, fixture, "resume");
    await recordIncident(lead, fixture, "void", { seat: "1", set: "3", reason: "taster unwell" });
    await recordIncident(lead, fixture, "again", { seat: "1", set: "3" });
    if (first === undefined) throw new Error("Nobody on seat 1");
    await answer(fixture, first, { seat: 1, ordinal: 5, picks: "B" });
    await recordIncident(lead, fixture, "left", { seat: "2" });
    await recordIncident(lead, fixture, "note", { note: "A fan stopped." });
    await published(fixture);
    const file = await lead.get(`/lead/sessions/${fixture.sessionId}/report/session.json`);
    const visitor = house.visitor();
    await visitor.get("/verify");
    expect((await visitor.post("/verify", { file: file.body })).body).toContain("All of it holds");
    const [found] = await verifyStore(house.deps.store);
    expect(found?.checks.filter(({ ok }) => !ok)).toEqual([]);
    const witness = async () =>
      (await house.deps.store.selectFrom("mix_ups").select("witness").executeTakeFirstOrThrow())
        .witness;
    expect(await witness()).toBe("K. L.");
    await house.deps.store.transaction().execute((trx) => eraseNames(trx, fixture.sessionId));
    expect(await witness()).toBeNull();
    expect(await logged(house, fixture, "incident-mix-up")).toHaveLength(1);
  });

  it("without a mix-up there is one analysis", async () => {
    const fixture = await openSession(house, fourPairs(2));
    await tasteAll(fixture, [3, 2]);
    expect((await published(fixture)).findings.mixUps).toBeNull();
  });

  it("an answer that comes twice is logged and not counted: 24 of 36, not settled", async () => {
    const fixture = await openSession(house, fourPairs(9));
    const tasters = await tasteAll(fixture, [4, 4, 3, 3, 3, 2, 2, 2, 1]);
    const sixth = tasters[5];
    if (sixth === undefined) throw new Error("Nobody on seat 6");
    // Pair 3 was answered A; half a minute later B comes from a second phone.
    house.wait(32_000);
    const second = await answer(fixture, sixth, { seat: 6, ordinal: 3, picks: "B" });
    expect(second.statusCode).toBe(409);
    expect(await logged(house, fixture, "ballot-differs")).toHaveLength(1);
    const { findings } = await published(fixture);
    const [primary] = findings.endpoints;
    expect(primary?.counts).toMatchObject({ answers: 36, pickedB: 24 });
    // Twice P(X ≥ 24 | 36, 1/2); counted twice it would be 25 of 37, p = 0.047.
    expect(primary?.companions.strictBinomialPValue).toBeCloseTo(twoTails(24, 36), 12);
    expect(twoTails(24, 36)).toBeCloseTo(0.065, 3);
    expect(findings.headline).toBe("not-settled");
  });

  it("what a leaver did not answer stays missing, and the report says how many answers came", async () => {
    const fixture = await openSession(house, fourPairs(2));
    await tasteAll(fixture, [3]);
    const leaver = await joined(house, fixture);
    await answer(fixture, leaver, { seat: 2, ordinal: 1, picks: "B" });
    await recordIncident(lead, fixture, "left", { seat: "2" });
    const { findings, page } = await published(fixture);
    expect(findings.endpoints[0]?.counts.answers).toBe(5);
    expect(page).toContain(
      "5 answers came in for the 8 sets of 2 seats taken, leavers included; nothing is filled in for the rest",
    );
  });

  it("counts seats, ballots and who withdrew alike in what was planned and in what to keep in mind", async () => {
    const fixture = await openSession(house, { ...fourPairs(2), spareSeats: 1 });
    await tasteAll(fixture, [3, 2]);
    const third = await joined(house, fixture);
    await third.get("/taste/stop");
    expect((await third.post("/taste/stop", {})).statusCode).toBeLessThan(400);
    const { page } = await published(fixture);
    expect(page).toContain("8 answers came in for the 12 sets of 3 seats taken");
    expect(page).toContain("Seats taken, leavers included 2 3 ");
    expect(page).toContain("Tasters who withdrew with their answers 0 1 ");
    expect(page).toContain("Ballots that came in 8 8 ");
    expect(page).toContain("Ballots counted 8 8 ");
  });

  it("a voided set is left out by its reason, and a set served again takes its place", async () => {
    const fixture = await openSession(house, fourPairs(2));
    const [first] = await tasteAll(fixture, [4, 4]);
    await recordIncident(lead, fixture, "void", {
      seat: "1",
      set: "4",
      reason: "foreign smell or taste",
    });
    await recordIncident(lead, fixture, "again", { seat: "1", set: "4" });
    if (first === undefined) throw new Error("Nobody on seat 1");
    await answer(fixture, first, { seat: 1, ordinal: 5, picks: "A" });
    const { findings, page } = await published(fixture);
    expect(findings.endpoints[0]?.counts).toMatchObject({ answers: 8, pickedB: 7 });
    expect(page).toContain("Left out: 1 answer (foreign smell or taste)");
  });

  it("a cup poured anew counts under its new code", async () => {
    const fixture = await openSession(house, fourPairs(1));
    const taster = await joined(house, fixture);
    const before = await codesOf(fixture, 1, 1);
    await recordIncident(lead, fixture, "spill", { seat: "1", code: before.B, inWindow: "yes" });
    const after = await codesOf(fixture, 1, 1);
    expect([after.A === before.A, after.B === before.B]).toEqual([true, false]);
    await answer(fixture, taster, { seat: 1, ordinal: 1, picks: "B" });
    const { findings } = await published(fixture);
    expect(findings.endpoints[0]?.counts).toMatchObject({ answers: 1, pickedB: 1 });
  });
});
