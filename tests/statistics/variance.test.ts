import fc from "fast-check";
import { describe, expect, it } from "vitest";
import { gridOf } from "../../src/statistics/decimals.ts";
import { describe as describeSample } from "../../src/statistics/descriptive.ts";
import { friedman } from "../../src/statistics/friedman.ts";
import { pairedT } from "../../src/statistics/paired.ts";
import { signTest } from "../../src/statistics/rank.ts";
import { twoWay } from "../../src/statistics/variance.ts";

const score = fc.integer({ min: -20, max: 20 }).map((half) => half / 2);
const pairs = fc
  .array(fc.tuple(score, score), { minLength: 2, maxLength: 10 })
  .filter((rows) => new Set(rows.map(([a, b]) => a - b)).size > 1);

describe("two-way analysis of variance", () => {
  it("of two treatments is the paired t test, squared", () => {
    fc.assert(
      fc.property(pairs, (rows) => {
        const { treatment } = twoWay(gridOf(rows.flat()), 2);
        const t = pairedT(gridOf(rows.map(([a, b]) => a - b)));
        expect(treatment.f).toBeCloseTo((t.statistic ?? Number.NaN) ** 2, 8);
        expect(treatment.pValue).toBeCloseTo(t.pValue ?? Number.NaN, 10);
        expect(treatment).toMatchObject({ df: 1, errorDf: rows.length - 1 });
      }),
    );
  });

  it("of treatments ignores what is added to a whole block", () => {
    fc.assert(
      fc.property(pairs, score, (rows, shift) => {
        const shifted = rows.map(([a, b], i) => (i === 0 ? [a + shift, b + shift] : [a, b]));
        expect(twoWay(gridOf(shifted.flat()), 2).treatment).toEqual(
          twoWay(gridOf(rows.flat()), 2).treatment,
        );
      }),
    );
  });

  it("has no F without error", () => {
    const { treatment, errorMeanSquare } = twoWay(gridOf([0.1, 0.2, 0.4, 0.5]), 2);
    expect(treatment).toMatchObject({ f: null, pValue: null });
    expect(errorMeanSquare).toBe(0);
  });
});

describe("Friedman's test", () => {
  it("of two treatments has the sign test's exact tail", () => {
    fc.assert(
      fc.property(pairs, (rows) => {
        const { exactPValue } = friedman(rows);
        const sign = signTest(gridOf(rows.map(([a, b]) => a - b))).pValue;
        expect(exactPValue).toBeCloseTo(sign, 12);
      }),
    );
  });

  it("needs only the order within each block", () => {
    fc.assert(
      fc.property(pairs, (rows) => {
        expect(friedman(rows.map((row) => row.map((value) => value ** 3 + 5)))).toEqual(
          friedman(rows),
        );
      }),
    );
  });

  it("says nothing when every block is one tie, and gives no exact tail beyond reach", () => {
    const none = { statistic: null, pValue: null, exactPValue: null, meanRanks: [1.5, 1.5] };
    expect(
      friedman([
        [1, 1],
        [2, 2],
      ]),
    ).toMatchObject(none);
    const many = Array.from({ length: 40 }, (_, i) => [i, i + 1, i + 2, i + 3, i - 1, i - 2]);
    expect(friedman(many)).toMatchObject({ exactPValue: null, pValue: expect.any(Number) });
  });
});

describe("a description", () => {
  it("lies between the extremes, and moves with the unit", () => {
    fc.assert(
      fc.property(fc.array(score, { minLength: 1, maxLength: 20 }), (values) => {
        const ours = describeSample(gridOf(values));
        const order = [
          ours.minimum,
          ours.lowerQuartile,
          ours.median,
          ours.upperQuartile,
          ours.maximum,
        ];
        expect(order.toSorted((a, b) => a - b)).toEqual(order);
        expect(ours.mean).toBeGreaterThanOrEqual(ours.minimum);
        expect(ours.mean).toBeLessThanOrEqual(ours.maximum);
        const doubled = describeSample(gridOf(values.map((value) => 2 * value)));
        expect(doubled.standardDeviation ?? 0).toBeCloseTo(2 * (ours.standardDeviation ?? 0), 12);
        expect(ours.standardDeviation === null).toBe(values.length === 1);
      }),
    );
  });
});
