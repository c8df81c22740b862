import fc from "fast-check";
import { describe, expect, it } from "vitest";
import { gridOf } from "../../src/statistics/decimals.ts";
import { equivalence } from "../../src/statistics/equivalence.ts";
import { pairedT } from "../../src/statistics/paired.ts";
import { orderKeys, reordered, spreadDifferences } from "./samples.ts";

const margin = fc.integer({ min: 1, max: 60 }).map((tenths) => tenths / 10);
const alpha = fc.double({ min: 0.001, max: 0.3, noNaN: true });

describe("two one-sided tests", () => {
  it("show equivalence exactly when the 1 − 2 alpha interval lies within the margins", () => {
    fc.assert(
      fc.property(spreadDifferences, margin, alpha, (values, half, level) => {
        const result = equivalence(gridOf(values), { lower: -half, upper: half, alpha: level });
        const { lower, upper } = result.interval;
        expect(result.equivalent).toBe(
          (lower ?? -Infinity) >= -half && (upper ?? Infinity) <= half,
        );
        expect(result.equivalent).toBe((result.pValue ?? 1) <= level);
      }),
    );
  });

  it("share their interval with the t test at 1 − 2 alpha", () => {
    fc.assert(
      fc.property(spreadDifferences, (values) => {
        const { interval } = equivalence(gridOf(values), { lower: -1, upper: 1, alpha: 0.05 });
        const t = pairedT(gridOf(values), "two-sided", 0.9);
        expect(interval.lower).toBeCloseTo(t.lower ?? Number.NaN, 12);
        expect(interval.upper).toBeCloseTo(t.upper ?? Number.NaN, 12);
      }),
    );
  });

  it("mirror when the cups' names are exchanged, and move with a shift of data and margins", () => {
    fc.assert(
      fc.property(spreadDifferences, margin, orderKeys, (values, half, keys) => {
        const result = equivalence(gridOf(values), { lower: -half, upper: 2 * half });
        const mirrored = equivalence(gridOf(values.map((value) => -value)), {
          lower: -2 * half,
          upper: half,
        });
        expect(mirrored.pValue).toBeCloseTo(result.pValue ?? Number.NaN, 12);
        const same = equivalence(gridOf(reordered(values, keys)), {
          lower: -half,
          upper: 2 * half,
        });
        expect(same).toEqual(result);
      }),
    );
  });

  it("decide nothing without spread", () => {
    const result = equivalence(gridOf([0.1, 0.1, 0.1]), { lower: -1, upper: 1 });
    expect(result).toMatchObject({ pValue: null, equivalent: false, lowerTest: { t: null } });
    expect(result.interval).toEqual({ estimate: 0.1, lower: null, upper: null });
  });
});

describe("with brewers swapped", () => {
  const order = ["NS", "SN", "NS", "SN", "NS", "SN", "NS"];
  const yields = [0.5, -0.3, 0.6, -0.2, 0.4, -0.4, 0.7];

  it("a brewer's own difference cancels from mean and spread", () => {
    const plain = equivalence(gridOf(yields), { lower: -0.5, upper: 0.5 });
    const adjusted = equivalence(gridOf(yields), { lower: -0.5, upper: 0.5 }, order);
    expect(plain.equivalent).toBe(false);
    expect(adjusted.equivalent).toBe(true);
    const shifted = yields.map((value, i) => value + (order[i] === "NS" ? 1 : -1));
    const again = equivalence(gridOf(shifted), { lower: -0.5, upper: 0.5 }, order);
    expect(again.meanDifference).toBeCloseTo(adjusted.meanDifference, 12);
    expect(again.pValue).toBeCloseTo(adjusted.pValue ?? Number.NaN, 12);
  });

  it("the test is the two-period crossover's, on n − 2", () => {
    // By hand: groups NS (.5 .6 .4 .7) and SN (−.3 −.2 −.4), means .55 and −.3, sums of squares .05 and .02.
    const { meanDifference, upperTest } = equivalence(
      gridOf(yields),
      { lower: -0.5, upper: 0.5 },
      order,
    );
    const standardError = Math.sqrt((0.07 / 5) * (1 / 4 + 1 / 3)) / 2;
    expect(meanDifference).toBeCloseTo(0.125, 12);
    expect(upperTest.t).toBeCloseTo((0.125 - 0.5) / standardError, 10);
  });
});
