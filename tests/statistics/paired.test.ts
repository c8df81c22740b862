import fc from "fast-check";
import { describe, expect, it } from "vitest";
import { gridOf } from "../../src/statistics/decimals.ts";
import { pairedPower, pairedScores, pairedSize, pairedT } from "../../src/statistics/paired.ts";
import { confidence, orderKeys, reordered, spreadDifferences } from "./samples.ts";

describe("the paired t test", () => {
  it("rejects 0 at 1 − confidence exactly when its interval leaves 0 out", () => {
    fc.assert(
      fc.property(spreadDifferences, confidence, (values, level) => {
        const { pValue, lower, upper } = pairedT(gridOf(values), "two-sided", level);
        const outside = (lower ?? 0) > 0 || (upper ?? 0) < 0;
        expect(outside).toBe((pValue ?? 1) < 1 - level);
      }),
    );
  });

  it("has a two-sided p that reaches 1 − confidence exactly at an end of the interval", () => {
    fc.assert(
      fc.property(spreadDifferences, (values) => {
        const { lower, upper } = pairedT(gridOf(values), "two-sided", 0.9);
        for (const end of [lower, upper]) {
          const moved = gridOf(values.map((value) => value - (end ?? 0)));
          expect(pairedT(moved).pValue).toBeCloseTo(0.1, 9);
        }
      }),
    );
  });

  it("splits its two-sided p over the one-sided tests", () => {
    fc.assert(
      fc.property(spreadDifferences, (values) => {
        const grid = gridOf(values);
        const [greater, less] = [pairedT(grid, "greater").pValue, pairedT(grid, "less").pValue];
        expect((greater ?? 0) + (less ?? 0)).toBeCloseTo(1, 12);
        const smaller = Math.min(greater ?? 1, less ?? 1);
        expect(pairedT(grid).pValue).toBeCloseTo(2 * smaller, 12);
      }),
    );
  });

  it("is the same in any order, and scales with the unit", () => {
    fc.assert(
      fc.property(spreadDifferences, orderKeys, (values, keys) => {
        const before = pairedScores(gridOf(values));
        expect(pairedScores(gridOf(reordered(values, keys)))).toEqual(before);
        const percent = pairedScores(gridOf(values.map((value) => Number(`${value}e2`))));
        expect(percent.t.statistic).toBeCloseTo(before.t.statistic ?? Number.NaN, 10);
        expect(percent.meanDifference).toBeCloseTo(100 * before.meanDifference, 10);
      }),
    );
  });

  it("is null throughout for one pair, or for differences all alike, however awkward in binary", () => {
    const none = { statistic: null, df: null, pValue: null, lower: null, upper: null };
    expect(pairedScores(gridOf([0.3]))).toMatchObject({ sdDifference: null, t: none });
    expect(pairedScores(gridOf([0.1, 0.1, 0.1]))).toMatchObject({ sdDifference: 0, t: none });
  });
});

describe("the number of pairs", () => {
  const effect = fc.double({ min: 0.15, max: 2, noNaN: true });
  const power = fc.double({ min: 0.5, max: 0.98, noNaN: true });

  it("is the smallest that reaches the power", () => {
    fc.assert(
      fc.property(effect, power, fc.constantFrom("one", "two"), (difference, target, sides) => {
        const size = pairedSize(difference, 1, target, 0.05, sides);
        if (size === null) throw new Error("out of reach");
        expect(size.achievedPower).toBeGreaterThanOrEqual(target);
        if (size.pairs > 2) {
          expect(pairedPower(difference, size.pairs - 1, 0.05, sides)).toBeLessThan(target);
        }
      }),
      { numRuns: 40 },
    );
  });

  it("falls as the effect or alpha grows, and does not care for sign or unit", () => {
    fc.assert(
      fc.property(effect, power, (difference, target) => {
        const pairs = (d: number, sd: number, alpha: number) =>
          pairedSize(d, sd, target, alpha)?.pairs ?? Number.NaN;
        const before = pairs(difference, 1, 0.05);
        expect(pairs(1.2 * difference, 1, 0.05)).toBeLessThanOrEqual(before);
        expect(pairs(difference, 1, 0.1)).toBeLessThanOrEqual(before);
        expect(pairs(-difference * 8, 8, 0.05)).toBe(before);
      }),
      { numRuns: 12 },
    );
  });

  it("is not given where a million pairs would not do", () => {
    expect(pairedSize(1e-5, 1, 0.8)).toBeNull();
  });
});
