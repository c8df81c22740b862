import { describe, expect, it } from "vitest";
import { kitInput } from "../../server/sealing.ts";
import { makeKit } from "../../src/design/kit.ts";
import { seedFromText, stream } from "../../src/design/random.ts";
import type { Plan } from "../../src/experiment/plan.ts";
import { type Assumptions, usualAssumptions } from "../../src/rehearsal/assumptions.ts";
import { chanceFrom } from "../../src/rehearsal/chance.ts";
import type { ScenarioName } from "../../src/rehearsal/scenarios.ts";
import { simulate } from "../../src/rehearsal/simulate.ts";
import type { Tally } from "../../src/rehearsal/tally.ts";
import {
  brighter,
  brightest,
  duoTrio,
  extractionYield,
  planFor,
  sweetness,
  tetrad,
  triangle,
} from "../report/sessions.ts";

const PANELS = 2000;

/** People and pots as the exact calculations take them: all alike, nobody leaves. */
const alike = { guessers: 0, leavers: 0, sensitivitySd: 0, potSdLogit: 0 };

function rehearse(plan: Plan, assumptions: Partial<Assumptions>, panels = PANELS, seed = 1) {
  const made = makeKit(kitInput(plan), (name) => stream(seedFromText("rehearsal"), name));
  if (!made.ok) throw new Error(made.message);
  const all = { ...usualAssumptions(plan), ...assumptions };
  let tallies: readonly Tally[] = [];
  for (const now of simulate({ plan, kit: made.kit, assumptions: all, panels }, chanceFrom(seed))) {
    tallies = now;
  }
  return (name: ScenarioName) => {
    const tally = tallies.find(({ scenario }) => scenario === name);
    if (!tally) throw new Error(`There is no row ${name}`);
    return tally;
  };
}

const saysDifferent = ({ headlines, panels }: Tally) =>
  (headlines.different + headlines["different-for-some"]) / panels;
const isClose = ({ headlines, panels }: Tally) => headlines["close-enough"] / panels;
const shows = ({ endpoints, panels }: Tally) => {
  const [main] = endpoints;
  if (!main) throw new Error("A plan has a question");
  return (main.states.difference + main.states["trivial-difference"]) / panels;
};
/** Four standard errors of a simulated rate. */
const slack = (rate: number, panels = PANELS) => 4 * Math.sqrt((rate * (1 - rate)) / panels);
const within = (simulated: number, exact: number) =>
  expect(Math.abs(simulated - exact)).toBeLessThan(slack(exact));

describe("A rehearsal comes out as exact calculation says", () => {
  it("for triangles: 42 tasters find 30 % detectors 80.8 times in 100", () => {
    // P(X ≥ 20 | 42, 1/3 + 2/3 · 0.3 = 8/15): binomial sums, computed with Python's fractions.
    // Critical number 20 of 42 at 5 %: FAO sensory assessment guideline V7180E, Appendix A.
    const plan = planFor([triangle], ["Bramble"], { tasters: 42 });
    const row = rehearse(plan, { ...alike, expectedEffect: 0.5 });
    within(shows(row("at-the-margin")), binomialTail(42, 20, 8 / 15));
    within(shows(row("as-expected")), binomialTail(42, 20, 2 / 3));
    within(shows(row("identical")), binomialTail(42, 20, 1 / 3));
  });

  // Critical numbers of 42 at 5 %: 27 at a chance of 1/2 (ISO 10399) and 20 at 1/3 (ISO 4120).
  it.each([
    { name: "duo-trio", endpoint: duoTrio, guessing: 1 / 2, critical: 27 },
    { name: "tetrad", endpoint: tetrad, guessing: 1 / 3, critical: 20 },
    { name: "3-AFC", endpoint: brightest, guessing: 1 / 3, critical: 20 },
    {
      name: "3-AFC with A expected",
      endpoint: { ...brightest, expected: "A" } as const,
      guessing: 1 / 3,
      critical: 20,
    },
  ])("for $name: 42 tasters find 30 % who can tell as the binomial says", (one) => {
    const { endpoint, guessing, critical } = one;
    const plan = planFor([endpoint], ["Bramble"], { tasters: 42 });
    const row = rehearse(plan, { ...alike, expectedEffect: 0.5 });
    const rightAt = (share: number) => guessing + (1 - guessing) * share;
    within(shows(row("at-the-margin")), binomialTail(42, critical, rightAt(0.3)));
    within(shows(row("as-expected")), binomialTail(42, critical, rightAt(0.5)));
    within(shows(row("identical")), binomialTail(42, critical, guessing));
  });

  it("for pairs: 54 tasters find a pick rate of 70 % four times in five, two-sided", () => {
    // Fewest of 54 at 5 %, two-sided, 35: rule of ISO 5495:2005; a lean of 0.4 is 70 % picks.
    const plan = planFor([brighter], ["Bramble"], { tasters: 54 });
    const row = rehearse(plan, { ...alike, expectedEffect: 0.4 });
    within(shows(row("as-expected")), binomialTail(54, 35, 0.7) + binomialTail(54, 35, 0.3));
    within(shows(row("identical")), 2 * binomialTail(54, 35, 0.5));
  });

  it("for closeness: 54 triangles pass identical cups nine times in ten on one coffee", () => {
    // At most 22 of 54 right shows that fewer than 30 % can tell, at 95 %: Clopper & Pearson (1934).
    const plan = planFor([triangle], ["Bramble"], { tasters: 54 });
    const row = rehearse(plan, alike);
    const passes = 1 - binomialTail(54, 23, 1 / 3);
    // A trivial difference counts as close enough too, but 25 right are needed to show one.
    within(isClose(row("identical")), passes);
  });

  it("for scores: 16 tasters find 10 points at a spread of 12 as the paired t test does", () => {
    // Power of the paired t test, n = 16, δ/σ = 10/12, two-sided 5 %: 0.87569
    // (noncentral t, scipy).
    const plan = planFor([sweetness], ["Bramble"], { tasters: 16 });
    const row = rehearse(plan, { ...alike, expectedEffect: 10, scorePoints: 12 });
    expect(Math.abs(shows(row("as-expected")) - 0.87569)).toBeLessThan(0.03);
  });

  it("for yields: twelve pairs pass equal yields as two one-sided tests do", () => {
    const plan = planFor([triangle, extractionYield], ["Bramble", "Cinder"], {
      tasters: 3,
      brewPairsPerCoffee: 6,
    });
    const row = rehearse(plan, { ...alike, yieldPoints: 0.5 });
    const main = row("identical").endpoints[1];
    const passes = (main?.states.equivalence ?? 0) + (main?.states["trivial-difference"] ?? 0);
    // Two one-sided t tests, n = 12, σ = 0.5, margin 0.5, true difference 0: 0.88938 by numerical
    // integration over the chi distribution (scipy).
    expect(Math.abs(passes / PANELS - 0.88938)).toBeLessThan(0.03);
  });
});

describe("A rehearsal of nothing", () => {
  it("says different at most alpha of the time, whatever people do", () => {
    const plan = planFor(
      [brighter, { ...sweetness, id: "e2", role: "secondary" }],
      ["Sallow", "Petrel", "Anvil"],
      {
        tasters: 12,
        brewPairsPerCoffee: 2,
        controls: { samePot: 1, sameTreatmentPairsPerCoffee: 0 },
      },
    );
    const row = rehearse(plan, { guessers: 0.3, leavers: 0.3, sensitivitySd: 0.8 }, 500);
    expect(saysDifferent(row("identical"))).toBeLessThanOrEqual(0.05 + slack(0.05, 500));
  });

  it("shows that one pair of pots cries wolf when pots vary, as was computed beforehand", () => {
    // 24 tasters on one pair whose pots differ by themselves with an SD of 0.6 logit: the two-sided
    // binomial test rejects 18.789 % of the time (logistic-normal mixture, integrated by scipy).
    const plan = planFor([brighter], ["Bramble"], { tasters: 24 });
    const row = rehearse(plan, { ...alike, potSdLogit: 0.6 });
    within(shows(row("only-pots-differ")), 0.18789);
    const main = row("only-pots-differ").endpoints[0];
    expect(main?.processShown).toBe(0);
  });
});

describe("A rehearsal's rows", () => {
  it("leave out what the plan has no room for: a coffee that goes the other way needs another", () => {
    expect(rowsOf(planFor([triangle]), 0)).toEqual(["identical", "at-the-margin", "as-expected"]);
    expect(rowsOf(planFor([triangle], ["Sallow", "Anvil"]), 0.6)).toEqual([
      "identical",
      "only-pots-differ",
      "at-the-margin",
      "as-expected",
      "one-coffee-opposite",
    ]);
  });

  it("name the coffee that goes the other way often enough to be worth planning for", () => {
    const plan = planFor([brighter], ["Sallow", "Anvil", "Cinder"], { tasters: 60 });
    const row = rehearse(plan, { ...alike, expectedEffect: 0.8 }, 300);
    const { headlines, panels } = row("one-coffee-opposite");
    expect(headlines["different-for-some"] / panels).toBeGreaterThan(0.7);
    expect(row("as-expected").headlines["different-for-some"] / panels).toBeLessThan(0.05);
  });

  it("come out the same for the same seed and differently for another", () => {
    const plan = planFor([brighter], ["Sallow"], { tasters: 12 });
    const once = rehearse(plan, {}, 50, 7)("as-expected");
    expect(rehearse(plan, {}, 50, 7)("as-expected")).toEqual(once);
    const others = [8, 9, 10].map((seed) => rehearse(plan, {}, 50, seed)("as-expected"));
    expect(others.some((other) => JSON.stringify(other) !== JSON.stringify(once))).toBe(true);
  });

  it("lose the answers of those who leave, and nothing else", () => {
    const plan = planFor([brighter], ["Sallow", "Anvil"], { tasters: 30 });
    const all = rehearse(plan, { ...alike, expectedEffect: 0.5 }, 200)("as-expected");
    const half = rehearse(plan, { ...alike, expectedEffect: 0.5, leavers: 1 }, 200)("as-expected");
    expect(shows(half)).toBeLessThan(shows(all));
  });
});

function rowsOf(plan: Plan, potSdLogit: number): string[] {
  const made = makeKit(kitInput(plan), (name) => stream(seedFromText("names"), name));
  if (!made.ok) throw new Error(made.message);
  const assumptions = { ...usualAssumptions(plan), potSdLogit };
  const rounds = simulate({ plan, kit: made.kit, assumptions, panels: 1 }, chanceFrom(1));
  return [...(rounds.next().value ?? [])].map(({ scenario }) => scenario);
}

/** P(X ≥ least) of n answers, each right with chance p, summed term by term. */
function binomialTail(n: number, least: number, p: number): number {
  let [term, sum] = [(1 - p) ** n, 0];
  for (let x = 0; x <= n; x += 1) {
    if (x >= least) sum += term;
    term *= ((n - x) / (x + 1)) * (p / (1 - p));
  }
  return sum;
}
