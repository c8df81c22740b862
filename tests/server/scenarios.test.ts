import { afterAll, beforeAll, describe, expect, it } from "vitest";
import { answerSet, joinAsTaster, step } from "../../seed/play.ts";
import { type TrueSet, trueSets } from "../../seed/truth.ts";
import { brewerPots } from "../../server/store/sheets.ts";
import type { Answers } from "../../src/experiment/ballot.ts";
import { coffeeName, type Plan } from "../../src/experiment/plan.ts";
import type { Findings } from "../../src/report/findings.ts";
import { type House, openHouse, type Visitor } from "../app.ts";
import { sealedSession } from "../sealed-session.ts";

const triangle: Plan["endpoints"][number] = {
  id: "e1",
  kind: "overall-difference",
  role: "primary",
  method: "triangle",
  margin: 0.3,
};
const brighter: Plan["endpoints"][number] = {
  id: "e1",
  kind: "direction",
  role: "primary",
  attribute: "brightness",
  expected: null,
  margin: 0.3,
};
const coffees = (...names: string[]) =>
  names.map((name, at) => ({ id: `c${at + 1}`, name, roast: "" }));
const noControls = { samePot: 0, sameTreatmentPairsPerCoffee: 0 };

const codeOf = (set: TrueSet, treatment: "A" | "B") =>
  set.cups.find((cup) => cup.treatment === treatment)?.code ?? "";
const oddOr = (set: TrueSet, right: boolean): Answers => {
  const wrong = set.choices.find((code) => code !== set.rightCode) ?? "";
  return { e1: { chosen: right ? (set.rightCode ?? "") : wrong } };
};
const pick = (set: TrueSet, b: boolean): Answers => ({
  e1: { chosen: codeOf(set, b ? "B" : "A") },
});

/** A session played by HTTP: tasters join and answer as `answersOf` says (null: that set is missed). */
async function play(
  house: House,
  overrides: Partial<Plan>,
  answersOf: (set: TrueSet, before: readonly TrueSet[]) => Answers | null,
  brews?: (lead: Visitor, sessionId: string, plan: Plan) => Promise<void>,
): Promise<{ findings: Findings; page: string }> {
  const { sessionId, joinCode, plan } = await sealedSession(house, {
    spareSeats: 0,
    controls: noControls,
    ...overrides,
  });
  const lead = await house.signedInLead();
  await step(lead, sessionId, "opening");
  await brews?.(lead, sessionId, plan);
  const sets = await trueSets(house.deps.store, sessionId);
  const seats = new Map<number, Visitor>();
  for (const [at, set] of sets.entries()) {
    const taster = seats.get(set.seat) ?? (await joinAsTaster(house.app, joinCode, `T${set.seat}`));
    seats.set(set.seat, taster);
    const answers = answersOf(set, sets.slice(0, at));
    if (answers !== null) await answerSet(taster, set.ordinal, answers);
  }
  await step(lead, sessionId, "closure");
  await step(lead, sessionId, "unblinding");
  const report = `/lead/sessions/${sessionId}/report`;
  const { findings } = JSON.parse((await lead.get(`${report}/session.json`)).body);
  return { findings, page: (await lead.get(report)).body };
}

const primary = ({ endpoints, primaryId }: Findings) => {
  const found = endpoints.find(({ endpointId }) => endpointId === primaryId);
  if (found === undefined) throw new Error("no primary endpoint");
  return found;
};
/** How many of the sets before were of the same coffee and pair: to hand out a pair's picks in turn. */
const turn = (set: TrueSet, before: readonly TrueSet[]) =>
  before.filter(
    (one) => one.coffeeId === set.coffeeId && one.pair === set.pair && one.control === set.control,
  ).length;

describe("Scenarios of an invented roastery, entered as its people would", () => {
  let house: House;
  beforeAll(async () => {
    house = await openHouse();
  });
  afterAll(() => house.close());

  it("a clean win in a messy room: 84 of 114 over twelve pairs, and it holds for the process", async () => {
    // Six coffees × 2 pairs × 10 tasters; T9 misses pairs 1–3, T4 leaves after pair 9.
    const picks = [
      "7/9",
      "6/9",
      "7/9",
      "8/10",
      "7/10",
      "7/10",
      "9/10",
      "8/10",
      "6/10",
      "6/9",
      "7/9",
      "6/9",
    ];
    const planned = {
      coffees: coffees("Sallow", "Petrel", "Bramble", "Anvil", "Cinder", "Marsh"),
      endpoints: [brighter],
      tasters: 10,
      brewPairsPerCoffee: 2,
    };
    const answered = new Map<number, number>();
    const { findings, page } = await play(house, planned, (set) => {
      const pair = (Number(set.coffeeId.slice(1)) - 1) * 2 + set.pair;
      const [b = 0, of = 1] = (picks[pair - 1] ?? "").split("/").map(Number);
      if (set.seat === 9 && pair <= 3) return null;
      if (set.seat === 4 && pair > 9) return null;
      const place = answered.get(pair) ?? 0;
      answered.set(pair, place + 1);
      // The scenario gives counts a pair; who gave them is spread over the tasters.
      return pick(set, (place + 3 * pair) % of < b);
    });
    const { counts, process } = primary(findings);
    expect([counts.pickedB, counts.answers]).toEqual([84, 114]);
    // All twelve pairs lean the same way: 2 / 2¹² = 0.0005.
    expect(process.pValue).toBeCloseTo(2 / 2 ** 12, 12);
    expect(findings.headline).toBe("different");
    expect(findings.advice).toBe("roll-out");
    expect(page).toContain("12 of 12 brew pairs leaned to Minerals into the pot");
  }, 120_000);

  it("only seven tasters: 4 of 7 triangles is p = 0.173, needs 5, and is not settled", async () => {
    const { findings, page } = await play(
      house,
      { coffees: coffees("Bramble"), endpoints: [triangle], tasters: 7 },
      (set) => oddOr(set, set.seat <= 4),
    );
    const { difference, margin } = primary(findings);
    expect(difference.pValue).toBeCloseTo(0.173, 3);
    expect(difference.criticalCount).toBe(5);
    // Up to 81 % could be detectors.
    expect(margin.upperLimit).toBeCloseTo(0.81, 2);
    expect(findings.headline).toBe("not-settled");
    expect(page).toContain("more tasters");
  });

  it("an opposite coffee: different for some coffees, and not on Cinder", async () => {
    const picks = [
      [10, 9],
      [9, 9],
      [10, 10],
      [8, 9],
      [9, 9],
      [3, 3],
    ];
    const planned = {
      coffees: coffees("Sallow", "Petrel", "Bramble", "Anvil", "Marsh", "Cinder"),
      endpoints: [brighter],
      tasters: 12,
      brewPairsPerCoffee: 2,
    };
    const { findings, page } = await play(house, planned, (set, before) => {
      const b = picks[Number(set.coffeeId.slice(1)) - 1]?.[set.pair - 1] ?? 0;
      const shift = 5 * (2 * Number(set.coffeeId.slice(1)) + set.pair);
      return pick(set, (turn(set, before) + shift) % 12 < b);
    });
    const { counts, process, homogeneity } = primary(findings);
    expect([counts.pickedB, counts.answers]).toEqual([98, 144]);
    // Over pairs: 0.025 written; heterogeneity 0.0001 written.
    expect(process.pValue).toBeCloseTo(0.025, 3);
    expect(homogeneity?.pValue).toBeLessThan(0.0005);
    expect(findings.headline).toBe("different-for-some");
    expect(page).toContain("Cinder goes the other way");
  }, 120_000);

  it("all guess and one always takes the middle: 44 of 128, close enough in these cups, no process claim", async () => {
    const right = [3, 2, 4, 2, 3, 1, 4, 3, 2, 5, 3, 2, 3, 1, 2, 4];
    const planned = {
      coffees: coffees("Bramble", "Anvil"),
      endpoints: [triangle],
      tasters: 16,
      brewPairsPerCoffee: 1,
      replicates: 4,
    };
    const middle = (set: TrueSet) => set.cups[1]?.code ?? "";
    const { findings, page } = await play(house, planned, (set, before) => {
      // T11 always takes the middle cup; the draw decides how often that is right.
      if (set.seat === 11) return { e1: { chosen: middle(set) } };
      // A taster's right answers are split over the two coffees as evenly as they go.
      const total = right[set.seat - 1] ?? 0;
      const first = set.seat % 2 === 0 ? Math.floor(total / 2) : Math.ceil(total / 2);
      const here = set.coffeeId === "c1" ? first : total - first;
      const own = before.filter((one) => one.seat === set.seat && one.coffeeId === set.coffeeId);
      return oddOr(set, own.length < here);
    });
    const { counts, process, state } = primary(findings);
    const others = right.filter((_, at) => at !== 10).reduce((sum, count) => sum + count, 0);
    expect(counts.answers).toBe(128);
    // 41 of 120 without T11, as written.
    expect(others).toBe(41);
    expect((counts.correct ?? 0) - others).toBeGreaterThanOrEqual(0);
    expect(state).toBe("equivalence");
    expect(findings.headline).toBe("close-enough");
    expect(process.status).not.toBe("shown");
    expect(page).toContain("the second cup was picked 8 of 8 times");
  }, 120_000);

  it("“same” from too few: 4 of 12 and three pairs of yields settle nothing", async () => {
    const differences = [0.1, -0.4, 0.5];
    const planned: Partial<Plan> = {
      coffees: coffees("Sallow"),
      endpoints: [triangle, { id: "e2", kind: "extraction-yield", role: "secondary", margin: 0.5 }],
      tasters: 4,
      brewPairsPerCoffee: 3,
      brewLimits: null,
      brewers: ["North"],
    };
    const { findings } = await play(
      house,
      planned,
      (set, before) => oddOr(set, before.filter((one) => one.seat === set.seat).length === 0),
      async (lead, sessionId, plan) => {
        const rows = (await brewerPots(house.deps.store, sessionId)).map((pot) => {
          // 60 g, 900 g of beverage: 1.3 % is 19.5 % of yield; the difference goes onto B.
          const percent = 19.5 + (pot.treatment === "B" ? (differences[pot.pair - 1] ?? 0) : 0);
          return [
            coffeeName(plan, pot.coffeeId),
            pot.letter,
            pot.brewer,
            60,
            1000,
            900,
            200,
            (percent * 60) / 900,
          ].join(",");
        });
        const sheet = [
          "coffee,pot,brewer,dose_g,brew_water_g,beverage_g,brew_s,tds_percent",
          ...rows,
        ].join("\n");
        await lead.get(`/lead/sessions/${sessionId}/brews/import`);
        const stored = await lead.post(`/lead/sessions/${sessionId}/brews/import`, {
          sheet,
          act: "store",
        });
        expect(stored.statusCode).toBe(303);
      },
    );
    const { counts, difference } = primary(findings);
    expect([counts.correct, counts.answers]).toEqual([4, 12]);
    // p = 0.61 as written.
    expect(difference.pValue).toBeCloseTo(0.61, 2);
    expect(findings.headline).toBe("not-settled");
    const yields = findings.endpoints.find(({ kind }) => kind === "extraction-yield");
    // 90 % interval −0.69 … +0.83 as written.
    expect(yields?.margin.lowerLimit).toBeCloseTo(-0.69, 2);
    expect(yields?.margin.upperLimit).toBeCloseTo(0.83, 2);
    expect(yields?.state).toBe("inconclusive");
  }, 120_000);
});
