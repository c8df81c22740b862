import { describe, expect, it } from "vitest";
import { binomialPValue } from "../../src/statistics/binomial.ts";
import { gridOf } from "../../src/statistics/decimals.ts";
import { equivalence } from "../../src/statistics/equivalence.ts";
import { friedman } from "../../src/statistics/friedman.ts";
import { hochberg, holm } from "../../src/statistics/multiplicity.ts";
import { pairedT } from "../../src/statistics/paired.ts";
import { processContrast, processTest } from "../../src/statistics/process.ts";
import { signFlip } from "../../src/statistics/randomisation.ts";
import { signedRank, signTest } from "../../src/statistics/rank.ts";
import { replicatedTest } from "../../src/statistics/replicated.ts";
import type { ExactProbability } from "../../src/statistics/subset-sum.ts";
import { randomEffects } from "../../src/statistics/synthesis.ts";
import { type Chance, seeded } from "./chance.ts";

/** `EVENPOUR_LONG=1` (npm run check:long) simulates ten times as many panels. */
const PANELS = process.env.EVENPOUR_LONG ? 200_000 : 20_000;
const ALPHA = 0.05;

describe(`false alarms in ${PANELS} simulated panels without an effect`, () => {
  it.each(["two-sided", "greater", "less"] as const)(
    "sign flips, signed rank and signs hold alpha on tied scores, %s",
    (alternative) => {
      const chance = seeded(101);
      const alarms = { flips: 0, ranks: 0, signs: 0 };
      for (let panel = 0; panel < PANELS; panel++) {
        const scores = gridOf(Array.from({ length: 10 }, () => symmetricScore(chance)));
        if (reached(signFlip(scores, alternative))) alarms.flips++;
        if (reached(signedRank(scores, alternative).probability)) alarms.ranks++;
        if (signTest(scores, alternative).pValue <= ALPHA) alarms.signs++;
      }
      for (const count of Object.values(alarms)) expectAtMost(count / PANELS, ALPHA);
    },
  );

  it("the process test holds alpha over pairs of pots that differ by themselves, as tasters counted do not", () => {
    const chance = seeded(102);
    const alarms = { process: 0, cups: 0 };
    for (let panel = 0; panel < PANELS; panel++) {
      const pairs = Array.from({ length: 7 }, () => pair(chance, 12, 0.6));
      const answer = processTest(pairs);
      if (answer.ok && answer.pValue <= ALPHA) alarms.process++;
      if (answer.ok && answer.cups.pValue <= ALPHA) alarms.cups++;
    }
    expectAtMost(alarms.process / PANELS, ALPHA);
    expect(alarms.cups / PANELS).toBeGreaterThan(0.1);
  });

  it("one pair of pots and 24 tasters cry wolf 19 % of the time when pots vary by 0.6 logit", () => {
    const chance = seeded(103);
    let alarms = 0;
    for (let panel = 0; panel < PANELS; panel++) {
      const answer = processTest([pair(chance, 24, 0.6)]);
      if (answer.ok && answer.cups.pValue <= ALPHA) alarms++;
    }
    expectNear(alarms / PANELS, 0.19, 0.005);
  });

  it("the process contrast holds alpha when test and control pairs come from one source", () => {
    const chance = seeded(104);
    let alarms = 0;
    for (let panel = 0; panel < PANELS; panel++) {
      const pairs = (count: number) =>
        Array.from({ length: count }, (_, i) => ({
          coffee: `coffee ${i % 2}`,
          correct: chance.count(8, 1 / 3 + 0.3 * chance.uniform()),
          assessments: 8,
        }));
      const answer = processContrast(pairs(6), pairs(4));
      if (answer.ok && answer.pValue <= ALPHA) alarms++;
    }
    expectAtMost(alarms / PANELS, ALPHA);
  });

  it("the pooled test of repeated answers holds alpha when nobody can tell", () => {
    const chance = seeded(105);
    let alarms = 0;
    for (let panel = 0; panel < PANELS; panel++) {
      const tasters = Array.from({ length: 12 }, () => ({
        correct: chance.count(4, 1 / 3),
        assessments: 4,
      }));
      if (replicatedTest("triangle", tasters).pooled.pValue <= ALPHA) alarms++;
    }
    expectAtMost(alarms / PANELS, ALPHA);
  });

  it("Holm over five coffees names a false one at most alpha of the time", () => {
    const chance = seeded(106);
    let alarms = 0;
    for (let panel = 0; panel < PANELS; panel++) {
      const pValues = Array.from({ length: 5 }, () =>
        binomialPValue(chance.count(18, 1 / 3), 18, 1 / 3, "one"),
      );
      if (Math.min(...holm(pValues)) <= ALPHA) alarms++;
    }
    expectAtMost(alarms / PANELS, ALPHA);
  });

  it("Holm holds alpha over dependent questions, and Hochberg over independent ones", () => {
    const chance = seeded(107);
    const alarms = { holm: 0, hochberg: 0 };
    for (let panel = 0; panel < PANELS; panel++) {
      const shared = chance.uniform();
      const dependent = Array.from({ length: 6 }, (_, i) => (i < 3 ? shared : chance.uniform()));
      if (Math.min(...holm(dependent)) <= ALPHA) alarms.holm++;
      const independent = Array.from({ length: 6 }, () => chance.uniform());
      if (Math.min(...hochberg(independent)) <= ALPHA) alarms.hochberg++;
    }
    for (const count of Object.values(alarms)) expectAtMost(count / PANELS, ALPHA);
  });

  it("Friedman's exact tail holds alpha over five tasters and three cups, ties included", () => {
    const chance = seeded(108);
    let alarms = 0;
    for (let panel = 0; panel < PANELS; panel++) {
      const blocks = Array.from({ length: 5 }, () =>
        Array.from({ length: 3 }, () => symmetricScore(chance)),
      );
      const { exactPValue } = friedman(blocks);
      if (exactPValue !== null && exactPValue <= ALPHA) alarms++;
    }
    expectAtMost(alarms / PANELS, ALPHA);
  });
});

describe(`claims of equivalence in ${PANELS} simulated panels`, () => {
  it.each([
    ["at the upper margin", 0.5],
    ["at the lower margin", -0.5],
    ["beyond it", 0.6],
  ])("two one-sided tests hold alpha %s", (_, mean) => {
    const chance = seeded(109);
    let claims = 0;
    for (let panel = 0; panel < PANELS; panel++) {
      const yields = gridOf(Array.from({ length: 8 }, () => mean + 0.3 * chance.normal()));
      if (equivalence(yields, { lower: -0.5, upper: 0.5 }).equivalent) claims++;
    }
    expectAtMost(claims / PANELS, ALPHA);
  });

  it("hold alpha at the margin when brewers differ and were swapped", () => {
    const chance = seeded(110);
    const order = ["NS", "SN", "NS", "SN", "NS", "SN", "NS", "SN"];
    let claims = 0;
    for (let panel = 0; panel < PANELS; panel++) {
      const yields = order.map(
        (label) => 0.5 + (label === "NS" ? 0.4 : -0.4) + 0.3 * chance.normal(),
      );
      const result = equivalence(gridOf(yields), { lower: -0.5, upper: 0.5 }, order);
      if (result.equivalent) claims++;
    }
    expectNear(claims / PANELS, ALPHA, 0.005);
  });
});

describe(`intervals in ${PANELS} simulated panels`, () => {
  it("the paired t interval covers its confidence, neither more nor less", () => {
    const chance = seeded(111);
    let covered = 0;
    for (let panel = 0; panel < PANELS; panel++) {
      const scores = gridOf(Array.from({ length: 7 }, () => 1 + 2 * chance.normal()));
      const { lower, upper } = pairedT(scores);
      if ((lower ?? 2) <= 1 && (upper ?? 0) >= 1) covered++;
    }
    expectNear(covered / PANELS, 0.95, simulationError(0.95));
  });

  it("Hartung-Knapp's interval covers over six uneven sessions, where the normal one does not", () => {
    const chance = seeded(112);
    const sessions = Math.floor(PANELS / 4);
    const covered = { hksj: 0, normal: 0 };
    for (let series = 0; series < sessions; series++) {
      const studies = [0.05, 0.1, 0.15, 0.2, 0.3, 0.4].map((variance) => ({
        effect: 1 + Math.sqrt(variance + 0.2) * chance.normal(),
        variance,
      }));
      for (const interval of ["hksj", "normal"] as const) {
        const { lower, upper } = randomEffects(studies, { interval }).random;
        if (lower <= 1 && upper >= 1) covered[interval]++;
      }
    }
    expect(covered.hksj / sessions).toBeGreaterThan(0.93);
    expect(covered.normal / sessions).toBeLessThan(0.92);
  });

  it.each([
    ["spread evenly", (chance: Chance) => chance.uniform(), 1 / 2, 0.935],
    // Half can always tell and half guess: no beta distribution, and the interval pays for it.
    ["of two kinds", (chance: Chance) => (chance.uniform() < 0.5 ? 1 : 1 / 3), 2 / 3, 0.91],
  ] as const)(
    "the beta-binomial's covers tasters %s, where answers counted as people do not",
    (_, ability, mean, least) => {
      const chance = seeded(113);
      const covered = { tasters: 0, answers: 0 };
      for (let panel = 0; panel < PANELS; panel++) {
        const tasters = Array.from({ length: 40 }, () => ({
          correct: chance.count(4, ability(chance)),
          assessments: 4,
        }));
        const { betaBinomial, pooled } = replicatedTest("triangle", tasters);
        const half = 1.959964 * betaBinomial.standardError;
        if (Math.abs(betaBinomial.proportion - mean) <= half) covered.tasters++;
        const share = pooled.correct / pooled.assessments;
        const naive = 1.959964 * Math.sqrt((share * (1 - share)) / pooled.assessments);
        if (Math.abs(share - mean) <= naive) covered.answers++;
      }
      expect(covered.tasters / PANELS).toBeGreaterThan(least);
      expect(covered.answers / PANELS).toBeLessThan(0.87);
    },
  );
});

/** −2 … 2, symmetric about 0, often 0. */
function symmetricScore(chance: Chance): number {
  return chance.count(2, 0.5) - chance.count(2, 0.5);
}

/** A brew pair whose pots differ by chance: a normal lean on the logit scale. */
function pair(chance: Chance, assessments: number, sdLogit: number) {
  const probability = 1 / (1 + Math.exp(-sdLogit * chance.normal()));
  return { favour: chance.count(assessments, probability), assessments };
}

function reached(answer: ExactProbability): boolean {
  if (!answer.ok) throw new Error(answer.refusal);
  return answer.pValue <= ALPHA;
}

/** Four standard errors of a simulated rate. */
function simulationError(rate: number): number {
  return 4 * Math.sqrt((rate * (1 - rate)) / PANELS);
}

function expectAtMost(rate: number, alpha: number): void {
  expect(rate).toBeLessThanOrEqual(alpha + simulationError(alpha));
}

function expectNear(rate: number, expected: number, precision: number): void {
  expect(Math.abs(rate - expected)).toBeLessThanOrEqual(precision + simulationError(expected));
}
