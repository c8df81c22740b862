import fc from "fast-check";
import { describe, expect, it } from "vitest";
import { benjaminiHochberg, hochberg, holm } from "../../src/statistics/multiplicity.ts";
import { orderKeys, reordered } from "./samples.ts";

const family = fc.array(fc.double({ min: 0, max: 1, noNaN: true }), {
  minLength: 1,
  maxLength: 12,
});

describe("adjusting a family of p-values", () => {
  it("orders the methods: raw ≤ Benjamini-Hochberg ≤ Hochberg ≤ Holm ≤ Bonferroni", () => {
    fc.assert(
      fc.property(family, (pValues) => {
        const columns = [
          pValues,
          benjaminiHochberg(pValues),
          hochberg(pValues),
          holm(pValues),
          pValues.map((p) => Math.min(1, p * pValues.length)),
        ];
        for (let i = 0; i < pValues.length; i++) {
          const row = columns.map((column) => column[i] ?? Number.NaN);
          row.reduce((before, value) => {
            expect(value).toBeGreaterThanOrEqual(before * (1 - 1e-15));
            return value;
          });
        }
      }),
    );
  });

  it("follows each p-value wherever it stands in the list", () => {
    fc.assert(
      fc.property(family, orderKeys, (pValues, keys) => {
        for (const adjust of [holm, hochberg, benjaminiHochberg]) {
          const indexes = reordered(
            pValues.map((_, i) => i),
            keys,
          );
          const adjusted = adjust(pValues);
          expect(adjust(indexes.map((i) => pValues[i] ?? 1))).toEqual(
            indexes.map((i) => adjusted[i]),
          );
        }
      }),
    );
  });

  it("keeps the order of evidence", () => {
    fc.assert(
      fc.property(family, (pValues) => {
        const ascending = pValues.toSorted((a, b) => a - b);
        for (const adjust of [holm, hochberg, benjaminiHochberg]) {
          const adjusted = adjust(ascending);
          expect(adjusted.toSorted((a, b) => a - b)).toEqual(adjusted);
        }
      }),
    );
  });

  it("leaves a family of one alone", () => {
    for (const adjust of [holm, hochberg, benjaminiHochberg])
      expect(adjust([0.03])).toEqual([0.03]);
  });
});
