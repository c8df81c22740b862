import fc from "fast-check";
import { describe, expect, it } from "vitest";
import { reachesAlpha, upperTail } from "../../src/statistics/binomial.ts";
import { methods, similarityTest } from "../../src/statistics/discrimination.ts";
import { binomialProbability } from "../../src/statistics/distributions.ts";
import { methodNames } from "../../src/statistics/methods/method.ts";
import { type Goal, panelSize, power, similarityPower } from "../../src/statistics/panel-size.ts";

const method = fc.constantFrom(...methodNames);
const goal = fc.constantFrom<Goal>("difference", "similarity");
const effectSize = fc.double({ min: 0.15, max: 0.9, noNaN: true });
const alphaLevel = fc.double({ min: 0.005, max: 0.25, noNaN: true });
const target = fc.double({ min: 0.5, max: 0.97, noNaN: true });

describe("the panel size", () => {
  it("is the first that reaches the power, and the stable one the last that must be passed", () => {
    fc.assert(
      fc.property(method, goal, effectSize, alphaLevel, target, (name, aim, pd, alpha, reach) => {
        const size = found(panelSize(request(name, aim, pd, alpha, reach)));
        const attained = Array.from({ length: 2 * size.stable + 60 }, (_, i) =>
          powerOf(name, aim, i + 1, alpha, pd),
        );
        const reaching = attained.map((value) => reachesAlpha(reach, value));
        expect(reaching.indexOf(true) + 1).toBe(size.assessments);
        expect(reaching.lastIndexOf(false) + 2).toBe(size.stable);
      }),
      { numRuns: 60 },
    );
  });

  it("decides rightly far out, where its running sums have gone through tens of thousands of steps", () => {
    fc.assert(
      fc.property(
        method,
        goal,
        fc.double({ min: 0.011, max: 0.03, noNaN: true }),
        (name, aim, pd) => {
          const size = found(panelSize(request(name, aim, pd, 0.05, 0.9)));
          expect(size.achievedPower).toBeGreaterThanOrEqual(0.9);
          expect(powerOf(name, aim, size.assessments - 1, 0.05, pd)).toBeLessThan(0.9);
          expect(powerOf(name, aim, size.stable - 1, 0.05, pd)).toBeLessThan(0.9);
          for (let more = 0; more < 12; more += 1) {
            expect(powerOf(name, aim, size.stable + more, 0.05, pd)).toBeGreaterThanOrEqual(0.9);
          }
        },
      ),
    );
  });

  it("grows with a stricter alpha, a higher power and a smaller effect", () => {
    fc.assert(
      fc.property(method, goal, effectSize, alphaLevel, target, (name, aim, pd, alpha, reach) => {
        const size = (...changed: [number, number, number]) =>
          found(panelSize(request(name, aim, ...changed))).assessments;
        const here = size(pd, alpha, reach);
        expect(size(pd, alpha / 2, reach)).toBeGreaterThanOrEqual(here);
        expect(size(pd, alpha, (1 + reach) / 2)).toBeGreaterThanOrEqual(here);
        expect(size(pd * 0.9, alpha, reach)).toBeGreaterThanOrEqual(here);
      }),
      { numRuns: 60 },
    );
  });

  it("is larger two-sided than one-sided, and equal to one-sided at half the alpha", () => {
    fc.assert(
      fc.property(effectSize, alphaLevel, target, (pd, alpha, reach) => {
        const one = request("paired-comparison", "difference", pd, alpha / 2, reach);
        const two = panelSize({ ...one, sides: "two", alpha });
        expect(two?.assessments).toBe(panelSize(one)?.assessments);
        expect(two?.achievedPower).toBe(panelSize(one)?.achievedPower);
      }),
      { numRuns: 40 },
    );
  });

  it("is the first panel with a critical count at all when everybody can tell", () => {
    const size = panelSize(request("triangle", "difference", 1, 0.05, 0.99));
    expect(size).toMatchObject({ assessments: 3, stableAssessments: 3, criticalCount: 3 });
    expect(size?.achievedPower).toBe(1);
  });

  it("says the same for a d′ as for the share of distinguishers that it makes", () => {
    const { proportionCorrect, guessing } = methods.tetrad;
    const pd = (proportionCorrect(1.2) - guessing) / (1 - guessing);
    const byShare = panelSize(request("tetrad", "difference", pd, 0.05, 0.9));
    const byDPrime = panelSize({
      method: "tetrad",
      goal: "difference",
      power: 0.9,
      effect: { dPrime: 1.2 },
    });
    expect(byDPrime).toEqual(byShare);
  });

  it("is null beyond 100,000 assessments, and has no stable size where only the first is within", () => {
    expect(panelSize(request("triangle", "difference", 0.001, 0.05, 0.8))).toBeNull();
    // The saw-tooth reaches the power at 99,889 and is still falling below it at 100,000.
    const edge = panelSize(request("triangle", "difference", 0.00557, 0.05, 0.8));
    expect(edge).toMatchObject({ assessments: 99_889, stableAssessments: null });
  });

  it("is searched to 100,000 in well under a second", () => {
    const before = performance.now();
    const size = panelSize(request("triangle", "difference", 0.0067, 0.05, 0.9));
    const milliseconds = performance.now() - before;
    expect(size?.assessments).toBeGreaterThan(90_000);
    expect(milliseconds).toBeLessThan(500);
  });
});

describe("power", () => {
  it("is a saw-tooth: it rises while the critical count stays and falls when that moves", () => {
    const steps = Array.from({ length: 200 }, (_, i) => {
      const [here, next] = [i + 10, i + 11].map((assessments) =>
        power({ method: "triangle", assessments, effect: { proportionDistinguishing: 0.3 } }),
      );
      return { here, next };
    });
    let falls = 0;
    for (const { here, next } of steps) {
      const moved = here?.criticalCount !== next?.criticalCount;
      const rises = (next?.power ?? 0) > (here?.power ?? 0);
      expect(rises).toBe(!moved);
      if (!rises) falls += 1;
    }
    expect(falls).toBeGreaterThan(60);
  });

  it("without any difference is the alpha really attained", () => {
    fc.assert(
      fc.property(
        method,
        fc.integer({ min: 1, max: 400 }),
        alphaLevel,
        (name, assessments, alpha) => {
          const none = { proportionDistinguishing: 0 };
          const result = power({ method: name, assessments, alpha, effect: none });
          expect(result.power).toBeCloseTo(result.achievedAlpha, 14);
          expect(result.achievedAlpha).toBeLessThanOrEqual(alpha * (1 + 1e-12));
        },
      ),
    );
  });

  it("two-sided counts the true tail only, and the alpha of both", () => {
    const result = power({
      method: "paired-comparison",
      sides: "two",
      assessments: 40,
      effect: { proportionDistinguishing: 0.4 },
    });
    expect(result.criticalCount).toBe(27);
    expect(result.power).toBeCloseTo(upperTail(27, 40, 0.7), 14);
    expect(result.achievedAlpha).toBeCloseTo(2 * upperTail(27, 40, 0.5), 14);
  });

  it("is nothing where no outcome can be significant", () => {
    const effect = { dPrime: 3 };
    expect(power({ method: "triangle", assessments: 2, effect })).toEqual({
      criticalCount: null,
      power: 0,
      achievedAlpha: 0,
    });
  });
});

describe("the power of a similarity test", () => {
  it("is the chance of the counts that the test accepts", () => {
    for (const name of methodNames) {
      const [assessments, margin] = [90, 0.35];
      const { guessing } = methods[name];
      let accepted = 0;
      for (let correct = 0; correct <= assessments; correct += 1) {
        const { similar } = similarityTest({ method: name, assessments, correct, margin });
        if (similar) accepted += binomialProbability(correct, assessments, guessing);
      }
      const exact = similarityPower({
        method: name,
        assessments,
        margin: { proportionDistinguishing: margin },
      });
      expect(exact.power).toBeCloseTo(accepted, 12);
    }
  });

  it("falls when a few can tell after all", () => {
    const plan = {
      method: "triangle",
      assessments: 60,
      margin: { proportionDistinguishing: 0.3 },
    } as const;
    const some = similarityPower({ ...plan, truth: { proportionDistinguishing: 0.1 } });
    expect(some.power).toBeLessThan(similarityPower(plan).power);
  });

  it("of 54 triangles passes identical cups 90 % of the time on one coffee, 59 % on all of five", () => {
    const { power: once } = similarityPower({
      method: "triangle",
      assessments: 54,
      margin: { proportionDistinguishing: 0.3 },
    });
    expect(once).toBeCloseTo(0.9, 2);
    expect(once ** 5).toBeCloseTo(0.59, 1);
  });
});

function request(
  name: (typeof methodNames)[number],
  aim: Goal,
  pd: number,
  alpha: number,
  reach: number,
) {
  const effect = { proportionDistinguishing: pd };
  return { method: name, goal: aim, alpha, power: reach, effect };
}

function found(size: ReturnType<typeof panelSize>) {
  if (size?.stableAssessments == null) throw new Error("No panel was found.");
  return { ...size, stable: size.stableAssessments };
}

function powerOf(
  name: (typeof methodNames)[number],
  aim: Goal,
  assessments: number,
  alpha: number,
  pd: number,
): number {
  const effect = { proportionDistinguishing: pd };
  return aim === "difference"
    ? power({ method: name, assessments, alpha, effect }).power
    : similarityPower({ method: name, assessments, alpha, margin: effect }).power;
}

describe("closeness both ways, with unlike tails (3-AFC)", () => {
  const choice = { method: "three-afc", alpha: 0.05, bothWays: true } as const;
  const chance = (assessments: number, share: number) =>
    similarityPower({ ...choice, assessments, margin: { proportionDistinguishing: share } }).power;

  // Every number up to 500 tried; the fewest and most right that pass are exact binomial limits.
  it.each([0.2, 0.3, 0.4, 0.5])(
    "margin %f: no smaller number is enough, none from there fails",
    (share) => {
      const enough = Array.from({ length: 500 }, (_, i) => chance(i + 1, share) >= 0.8);
      const size = panelSize({
        ...choice,
        goal: "similarity",
        power: 0.8,
        effect: { proportionDistinguishing: share },
      });
      expect(size?.assessments).toBe(enough.indexOf(true) + 1);
      expect(size?.stableAssessments).toBe(enough.lastIndexOf(false) + 2);
      expect(size?.achievedPower).toBeGreaterThanOrEqual(0.8);
    },
  );

  it("is found for small margins too, far out", () => {
    const size = panelSize({
      ...choice,
      goal: "similarity",
      power: 0.8,
      effect: { proportionDistinguishing: 0.02 },
    });
    expect(size?.assessments).toBeGreaterThan(10_000);
    expect(size?.achievedPower).toBeGreaterThanOrEqual(0.8);
    expect(size?.achievedPower).toBeLessThan(0.81);
  });
});
