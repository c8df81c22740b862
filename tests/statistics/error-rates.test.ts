import { describe, expect, it } from "vitest";
import { criticalCount } from "../../src/statistics/binomial.ts";
import {
  discriminationTest,
  methods,
  proportionCorrectAt,
  similarityTest,
} from "../../src/statistics/discrimination.ts";
import { methodNames } from "../../src/statistics/methods/method.ts";
import { power, similarityPower } from "../../src/statistics/panel-size.ts";
import { type Chance, seeded } from "./chance.ts";

const PANELS = 20_000;
const noDifference = { proportionDistinguishing: 0 };

describe("over every panel of up to 300 assessments", () => {
  it.each(methodNames)("the %s finds a difference that is not there in at most alpha", (method) => {
    for (const alpha of [0.2, 0.1, 0.05, 0.01, 0.001]) {
      for (let assessments = 1; assessments <= 300; assessments += 1) {
        const { achievedAlpha } = power({ method, assessments, alpha, effect: noDifference });
        expect(achievedAlpha).toBeLessThanOrEqual(alpha * (1 + 1e-12));
      }
    }
  });

  it("so does the two-sided paired comparison, both tails together", () => {
    for (let assessments = 1; assessments <= 300; assessments += 1) {
      const plan = { method: "paired-comparison", sides: "two", assessments } as const;
      const { achievedAlpha } = power({ ...plan, effect: noDifference });
      expect(achievedAlpha).toBeLessThanOrEqual(0.05 * (1 + 1e-12));
    }
  });

  it.each(methodNames)("the %s calls similar what is at the margin in at most alpha", (method) => {
    for (const pd of [0.1, 0.3, 0.5]) {
      const margin = { proportionDistinguishing: pd };
      for (let assessments = 1; assessments <= 300; assessments += 1) {
        const atMargin = similarityPower({ method, assessments, margin, truth: margin });
        expect(atMargin.power).toBeLessThanOrEqual(0.05 * (1 + 1e-12));
        expect(atMargin.achievedAlpha).toBeLessThanOrEqual(0.05 * (1 + 1e-12));
      }
    }
  });
});

describe("over 20,000 simulated panels", () => {
  it.each(methodNames)(
    "of guessing tasters, the %s cries wolf no more often than alpha",
    (method) => {
      const { guessing } = methods[method];
      const significant = outcomes(
        24,
        (correct) => discriminationTest({ method, assessments: 24, correct }).significant,
      );
      const rejected = simulate(11, ({ count }) => significant(count(24, guessing)));
      expect(rejected).toBeLessThan(0.05 + simulationError(0.05));
      const exact = power({ method, assessments: 24, effect: noDifference }).achievedAlpha;
      expect(Math.abs(rejected - exact)).toBeLessThan(simulationError(exact));
    },
  );

  it.each(methodNames)(
    "at the margin, the %s calls it similar no more often than alpha",
    (method) => {
      const margin = 0.3;
      const atMargin = proportionCorrectAt(margin, methods[method].guessing);
      const similar = outcomes(
        60,
        (correct) => similarityTest({ method, assessments: 60, correct, margin }).similar,
      );
      const passed = simulate(12, ({ count }) => similar(count(60, atMargin)));
      expect(passed).toBeLessThan(0.05 + simulationError(0.05));
    },
  );

  it.each(methodNames)(
    "the %s has intervals of pd and d′ that cover the truth as often as they say",
    (method) => {
      const { guessing, proportionCorrect } = methods[method];
      const dPrime = 1.1;
      const pc = proportionCorrect(dPrime);
      const pd = (pc - guessing) / (1 - guessing);
      const holds = outcomes(30, (correct) => {
        const outcome = discriminationTest({ method, assessments: 30, correct });
        const { lower, upper } = outcome.proportionDistinguishing;
        const ends = outcome.dPrime;
        const onShare = lower <= pd && pd <= upper;
        const onDPrime = (ends.lower ?? 0) <= dPrime && dPrime <= (ends.upper ?? Infinity);
        expect(onDPrime).toBe(onShare);
        return onShare;
      });
      const covered = simulate(13, ({ count }) => holds(count(30, pc)));
      expect(covered).toBeGreaterThan(0.95 - simulationError(0.95));
    },
  );

  it("swapping the side of a one-sided test after the data would double alpha", () => {
    const count = criticalCount(40, 0.5, 0.05) ?? Number.NaN;
    const rejected = simulate(14, (chance) => {
      const correct = chance.count(40, 0.5);
      return correct >= count || 40 - correct >= count;
    });
    expect(rejected).toBeGreaterThan(0.05 + simulationError(0.05));
    const paired = { method: "paired-comparison", sides: "two", assessments: 40 } as const;
    const twoSided = outcomes(
      40,
      (correct) => discriminationTest({ ...paired, correct }).significant,
    );
    const honest = simulate(14, (chance) => twoSided(chance.count(40, 0.5)));
    expect(honest).toBeLessThan(0.05 + simulationError(0.05));
  });
});

/** Works every possible outcome of a panel out once; the simulated panels only draw which one happens. */
function outcomes(assessments: number, of: (correct: number) => boolean) {
  const table = Array.from({ length: assessments + 1 }, (_, correct) => of(correct));
  return (correct: number) => table[correct] === true;
}

function simulate(seed: number, happens: (chance: Chance) => boolean): number {
  const chance = seeded(seed);
  let times = 0;
  for (let panel = 0; panel < PANELS; panel += 1) if (happens(chance)) times += 1;
  return times / PANELS;
}

/** Four standard errors of a simulated share. */
function simulationError(share: number): number {
  return 4 * Math.sqrt((share * (1 - share)) / PANELS);
}
