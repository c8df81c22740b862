import fc from "fast-check";
import { describe, expect, it } from "vitest";
import { gridOf } from "../../src/statistics/decimals.ts";
import type { Alternative } from "../../src/statistics/randomisation.ts";
import { signedRank, signTest } from "../../src/statistics/rank.ts";
import { differences, orderKeys, reordered } from "./samples.ts";

const rank = (values: number[], alternative?: Alternative) => {
  const { probability, ...rest } = signedRank(gridOf(values), alternative);
  if (!probability.ok) throw new Error(probability.refusal);
  return { ...rest, pValue: probability.pValue };
};

describe("the signed rank test", () => {
  it("shares midranks among ties and leaves zeros out", () => {
    expect(rank([1, -1, 2, 0, 3])).toMatchObject({ statistic: 1.5 + 3 + 4, n: 4 });
  });

  it("needs only the order of the sizes: any rising transformation leaves it alone", () => {
    fc.assert(
      fc.property(differences, orderKeys, (values, keys) => {
        const before = rank(values);
        expect(rank(values.map((value) => value ** 3))).toEqual(before);
        expect(rank(reordered(values, keys))).toEqual(before);
      }),
    );
  });

  it("has the same p when the cups' names are exchanged, and rank sums that add up", () => {
    fc.assert(
      fc.property(differences, (values) => {
        const [one, other] = [rank(values), rank(values.map((value) => -value))];
        expect(other.pValue).toBe(one.pValue);
        expect(one.statistic + other.statistic).toBe((one.n * (one.n + 1)) / 2);
        expect(rank(values, "greater").pValue).toBe(
          rank(
            values.map((value) => -value),
            "less",
          ).pValue,
        );
      }),
    );
  });

  it("is the sign test when all sizes are alike", () => {
    fc.assert(
      fc.property(fc.array(fc.constantFrom(-2, 2), { minLength: 1, maxLength: 30 }), (values) => {
        for (const alternative of ["two-sided", "greater", "less"] as const) {
          const sign = signTest(gridOf(values), alternative).pValue;
          expect(rank(values, alternative).pValue).toBeCloseTo(sign, 14);
        }
      }),
    );
  });

  it("has nothing to say without differences", () => {
    expect(rank([0, 0])).toEqual({ statistic: 0, n: 0, pValue: 1 });
  });
});

describe("the sign test", () => {
  it("counts either way, leaves zeros out and doubles the smaller tail", () => {
    expect(signTest(gridOf([1, 2, 0.5, -1, 0, 0]))).toEqual({
      positive: 3,
      negative: 1,
      pValue: 10 / 16,
    });
    expect(signTest(gridOf([1, -1]))).toMatchObject({ pValue: 1 });
    expect(signTest(gridOf([0]))).toEqual({ positive: 0, negative: 0, pValue: 1 });
  });
});
