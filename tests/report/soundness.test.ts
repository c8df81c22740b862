import { describe, expect, it } from "vitest";
import { analyse } from "../../src/report/analysis.ts";
import type { Evidence } from "../../src/report/evidence.ts";
import {
  brighter,
  evidenceOf,
  pick,
  planFor,
  pots,
  preferred,
  scored,
  seats,
  sweetness,
  triad,
  triangle,
} from "./sessions.ts";

/** Everyone picks B on every pair; brewers and controls vary. */
function session(brewersOf: [a: string, b: string][], more: Partial<Evidence> = {}): Evidence {
  const plan = planFor([brighter], ["Bramble"], {
    tasters: 8,
    brewPairsPerCoffee: brewersOf.length,
    brewers: ["North", "South"],
  });
  const ballots = brewersOf.flatMap((_, i) =>
    seats(8).map((seat) => pick("B", { seat, pair: i + 1 })),
  );
  const logged = brewersOf.flatMap(([brewerOfA, brewerOfB], i) =>
    pots({ pair: i + 1, yieldA: 20, yieldB: 20, brewerOfA, brewerOfB }),
  );
  return { ...evidenceOf(plan, ballots, logged), ...more };
}

const northSouth: [string, string] = ["North", "South"];
const southNorth: [string, string] = ["South", "North"];

describe("the blind", () => {
  const opened = (at: string) => ({
    openedEarly: [{ at, reason: "a taster felt unwell" }],
    leadSawSheets: [],
  });

  it("broke when answers came after the key was opened", () => {
    const findings = analyse(
      session([["North", "North"]], { blind: opened("2026-03-02T09:59:59.000Z") }),
    );
    expect(findings.faults).toEqual(["blind-broke"]);
    expect(findings.headline).toBe("not-sound");
    expect(findings.conduct.openedEarly[0]?.answersAfter).toBe(8);
    expect(findings.conduct.blinding).toBe("broken");
  });

  it("held when the key was opened after the last answer, and the opening is reported", () => {
    const findings = analyse(
      session([["North", "North"]], { blind: opened("2026-03-02T10:00:01.000Z") }),
    );
    expect(findings.faults).toEqual([]);
    expect(findings.headline).toBe("different");
    expect(findings.conduct.openedEarly).toHaveLength(1);
  });

  it("is single when the lead saw a sheet, which is no fault", () => {
    const blind = {
      openedEarly: [],
      leadSawSheets: [{ at: "2026-03-02T09:00:00.000Z", sheet: "pour" }],
    };
    const findings = analyse(session([["North", "North"]], { blind }));
    expect(findings.conduct.blinding).toBe("single-blind");
    expect(findings.headline).toBe("different");
  });
});

describe("brewers", () => {
  it("can't be confused with treatments when one brewed both pots of each pair", () => {
    expect(
      analyse(
        session([
          ["North", "North"],
          ["South", "South"],
        ]),
      ).brewers,
    ).toMatchObject({
      swapped: "one-brewer",
      brewers: [],
    });
  });

  it("are swapped when each made both treatments within a coffee", () => {
    const { brewers, headline } = analyse(session([northSouth, southNorth]));
    expect(brewers.swapped).toBe("swapped");
    expect(brewers.brewers).toEqual([
      { brewer: "North", potsOfA: 1, potsOfB: 1 },
      { brewer: "South", potsOfA: 1, potsOfB: 1 },
    ]);
    expect(headline).toBe("different");
  });

  it("make a difference unsound when each made its own treatment", () => {
    const findings = analyse(session([northSouth, northSouth]));
    expect(findings.brewers).toMatchObject({
      swapped: "not-swapped",
      differBy: "treatments-confounded",
    });
    expect(findings.faults).toEqual(["brewers-not-swapped"]);
    expect(findings.headline).toBe("not-sound");
  });

  it("make it unsound too when swapped in all but unevenly within a coffee", () => {
    const { brewers } = analyse(session([northSouth, northSouth, northSouth, southNorth]));
    expect(brewers.swapped).toBe("not-swapped");
  });

  it("may be three, each two of them sharing one pair, as long as somebody made both", () => {
    const around = analyse(session([northSouth, ["South", "East"], ["East", "North"]]));
    expect(around.brewers.swapped).toBe("swapped");
    const apart = analyse(session([northSouth, ["East", "West"]]));
    expect(apart.brewers).toMatchObject({
      swapped: "not-swapped",
      differBy: "treatments-confounded",
    });
  });

  it("leave the claim about one pair of cups alone, with nothing to swap", () => {
    const findings = analyse(session([northSouth]));
    expect(findings.brewers).toMatchObject({ swapped: "not-swapped", differBy: null });
    expect(findings.headline).toBe("different");
  });

  it("are known to differ by their brew times when the cups say nothing", () => {
    const evidence = session([northSouth, northSouth, northSouth]);
    const undecided = evidence.ballots.map((_, i) =>
      pick(i % 2 ? "A" : "B", { seat: seats(8)[i % 8] ?? "", pair: Math.floor(i / 8) + 1 }),
    );
    const slow = evidence.pots.map((pot, i) =>
      pot.brew && pot.treatment === "B"
        ? { ...pot, brew: { ...pot.brew, brewSeconds: 300 + i } }
        : pot,
    );
    const findings = analyse({ ...evidence, ballots: undecided, pots: slow });
    expect(findings.brewers.differBy).toBe("brew-time");
    expect(findings.headline).toBe("not-sound");
  });

  it("are tested where they were swapped: here every pick follows the brewer", () => {
    const orders = [northSouth, southNorth, northSouth, southNorth, northSouth, southNorth];
    const evidence = session(orders);
    const bySouth = orders.flatMap(([, brewerOfB], i) =>
      seats(8).map((seat) => pick(brewerOfB === "South" ? "B" : "A", { seat, pair: i + 1 })),
    );
    const findings = analyse({ ...evidence, ballots: bySouth });
    expect(findings.brewers.pValue).toBe(2 / 2 ** 6);
    expect(findings.headline).toBe("not-settled");
  });

  it("are the ones who brewed, not the ones who were planned", () => {
    const evidence = session([northSouth, southNorth]);
    const pots = evidence.pots.map((pot) => ({ ...pot, plannedBrewer: "North" }));
    expect(analyse({ ...evidence, pots }).brewers.swapped).toBe("swapped");
  });
});

describe("hidden control pairs", () => {
  it("make a triangle unsound when two cups of one pot are told apart as often", () => {
    const plan = planFor([triangle], ["Bramble"], { tasters: 12 });
    const tests = seats(12).map((seat, t) => triad(t < 9, { seat }));
    const controls = seats(12).map((seat, t) => triad(t < 9, { seat, control: "same-pot" }));
    const findings = analyse(evidenceOf(plan, [...tests, ...controls]));
    expect(findings.controls).toMatchObject([
      { count: 9, answers: 12, chance: 1 / 3, differsAsMuch: true },
    ]);
    expect(findings.faults).toEqual(["controls-differ"]);
    expect(findings.headline).toBe("not-sound");
  });

  it("leave it sound when found by luck only, or less than the treatments", () => {
    const plan = planFor([triangle], ["Bramble"], { tasters: 24 });
    const tests = seats(24).map((seat, t) => triad(t < 20, { seat }));
    const luck = seats(24).map((seat, t) => triad(t < 9, { seat, control: "same-pot" }));
    const less = seats(24).map((seat, t) => triad(t < 14, { seat, control: "same-pot" }));
    expect(analyse(evidenceOf(plan, [...tests, ...luck])).headline).toBe("different");
    expect(analyse(evidenceOf(plan, [...tests, ...less])).headline).toBe("different");
  });

  it("make a preference unsound when two pots of one treatment divide people as much", () => {
    const plan = planFor([preferred], ["Bramble"], { tasters: 16 });
    const tests = seats(16).map((seat, t) => pick(t < 13 ? "B" : "A", { seat }));
    // In the control pair the second cup is always the other pot.
    const controls = seats(16).map((seat, t) =>
      pick(t < 14 ? 2 : 1, { seat, pair: 2, control: "same-treatment" }),
    );
    const findings = analyse(evidenceOf(plan, [...tests, ...controls]));
    expect(findings.controls[0]).toMatchObject({
      control: "same-treatment",
      size: 0.75,
      testSize: 0.625,
    });
    expect(findings.headline).toBe("not-sound");
  });

  it("give scores a floor: how far two cups of one pot are scored apart", () => {
    const plan = planFor([sweetness], ["Bramble"], { tasters: 4 });
    const tests = seats(4).map((seat) => scored(40, 60, { seat }));
    const controls = seats(4).map((seat, t) =>
      scored(50, 50 + 2 * t, { seat, control: "same-pot" }),
    );
    expect(analyse(evidenceOf(plan, [...tests, ...controls])).controls[0]).toMatchObject({
      meanAbsoluteDifference: 3,
      pValue: null,
      differsAsMuch: false,
    });
  });
});

describe("serving positions", () => {
  it("are flagged when one is picked beyond luck", () => {
    const plan = planFor([brighter], ["Bramble"], { tasters: 20 });
    const ballots = seats(20).map((seat, t) => pick(t < 17 ? 1 : 2, { seat }));
    const [position] = analyse(evidenceOf(plan, ballots)).positions;
    expect(position).toMatchObject({ counts: [17, 3], biased: true });
    // 2 × P(X ≥ 17 | 20, ½) = 2 × 1351 / 2^20.
    expect(position?.pValue).toBeCloseTo((2 * 1351) / 2 ** 20, 14);
  });

  it("count three times for three of them", () => {
    const plan = planFor([triangle], ["Bramble"], { tasters: 6 });
    const ballots = seats(6).map((seat) => triad(true, { seat }, 3));
    const [position] = analyse(evidenceOf(plan, ballots)).positions;
    expect(position?.counts).toEqual([0, 0, 6]);
    expect(position?.pValue).toBeCloseTo((3 * 2) / 3 ** 6, 14);
  });
});

describe("what a rule leaves out", () => {
  const plan = planFor([brighter], ["Bramble"], { tasters: 12, brewPairsPerCoffee: 2 });
  const spilt = seats(12).map((seat, t) => ({
    ...pick(t < 9 ? "B" : "A", { seat }),
    voidReason: t < 3 ? "spill" : null,
  }));
  const second = seats(12).map((seat, t) => pick(t < 9 ? "B" : "A", { seat, pair: 2 }));

  it("leaves the counts, is listed, and the analysis is repeated with it", () => {
    const findings = analyse(evidenceOf(plan, [...spilt, ...second]));
    expect(findings.endpoints[0]?.counts).toMatchObject({ answers: 21, pickedB: 15 });
    expect(findings.leftOut.ballots).toEqual([{ reason: "spill", count: 3 }]);
    expect(findings.leftOut.repeated?.endpoints[0]).toMatchObject({
      endpointId: "e1",
      answers: 24,
    });
  });

  it("takes both pots and all answers of a rejected brew pair", () => {
    const rejected = pots({ pair: 2, yieldA: 20, yieldB: 21 }).map((pot) =>
      pot.treatment === "A" ? { ...pot, rejected: "dose-outside-limit" as const } : pot,
    );
    const kept = pots({ pair: 1, yieldA: 20, yieldB: 20 });
    const findings = analyse(evidenceOf(plan, [...spilt, ...second], [...rejected, ...kept]));
    expect(findings.endpoints[0]?.counts.answers).toBe(9);
    expect(findings.leftOut.rejectedPairs).toEqual([
      { coffeeId: "c1", pair: 2, reason: "dose-outside-limit" },
    ]);
    expect(findings.leftOut.ballots).toEqual([
      { reason: "brew pair rejected", count: 12 },
      { reason: "spill", count: 3 },
    ]);
    expect(findings.brews.map(({ rejected }) => rejected)).toEqual([false, false, true, false]);
  });

  it("is silent when nothing was left out", () => {
    expect(analyse(evidenceOf(plan, second)).leftOut).toEqual({
      ballots: [],
      rejectedPairs: [],
      repeated: null,
    });
  });
});

describe("extraction yield", () => {
  it("takes the minerals off the reading and undoes a dose added before the sample", () => {
    const plan = planFor([brighter], ["Bramble"]);
    plan.treatments.B.mineralsInReadingMilligramsPerLitre = 200;
    const [a, b] = pots({ yieldA: 20, yieldB: 20 });
    if (!a?.brew || !b?.brew) throw new Error("no brew");
    const dosed = {
      ...b,
      brew: { ...b.brew, sampleTiming: "after-addition" as const, addedGrams: 8 },
    };
    const { brews } = analyse(evidenceOf(plan, [], [a, dosed]));
    expect(brews[0]?.extractionPercent).toBeCloseTo(20, 12);
    // 1.25 % read, less 0.02 % of minerals, times (800 + 8)/800, times 800/50.
    expect(brews[1]?.extractionPercent).toBeCloseTo(((1.25 - 0.02) * 808) / 50, 12);
  });
});
