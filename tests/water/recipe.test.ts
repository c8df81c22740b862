import fc from "fast-check";
import { describe, expect, test } from "vitest";
import { chargeBalance, ionNames, milliequivalents } from "../../src/water/ions.ts";
import { nonNegativeLeastSquares } from "../../src/water/non-negative.ts";
import { ionsFromSalts, saltsForIons } from "../../src/water/recipe.ts";
import { saltNames } from "../../src/water/salts.ts";

const amounts = fc
  .uniqueArray(fc.constantFrom(...saltNames), { minLength: 1, maxLength: 10 })
  .chain((names) =>
    fc.tuple(
      ...names.map((salt) =>
        fc.record({
          salt: fc.constant(salt),
          milligramsPerLitre: fc.double({ min: 0, max: 500, noNaN: true }),
        }),
      ),
    ),
  );

describe("ions from salts", () => {
  test("balance to rounding, whatever the salts", () => {
    fc.assert(
      fc.property(amounts, (salts) => {
        const { cations, anions } = chargeBalance(ionsFromSalts(salts));
        expect(Math.abs(cations - anions)).toBeLessThanOrEqual(1e-12 * (cations + anions));
      }),
    );
  });

  test("count only the pure part of what is weighed", () => {
    const pure = ionsFromSalts([{ salt: "sodium-chloride", milligramsPerLitre: 50 }]);
    const weighed = [{ salt: "sodium-chloride" as const, milligramsPerLitre: 62.5, purity: 0.8 }];
    expect(ionsFromSalts(weighed).sodium).toBeCloseTo(pure.sodium ?? 0, 12);
  });
});

describe("salts for ions", () => {
  test("reach any water that these salts can make", () => {
    fc.assert(
      fc.property(amounts, (salts) => {
        const target = ionsFromSalts(salts);
        const recipe = saltsForIons(
          target,
          salts.map(({ salt }) => salt),
        );
        expect(recipe.feasible).toBe(true);
        for (const ion of ionNames) {
          expect(recipe.achieved[ion] ?? 0).toBeCloseTo(target[ion] ?? 0, 7);
        }
        for (const { milligramsPerLitre } of recipe.salts) {
          expect(milligramsPerLitre).toBeGreaterThanOrEqual(0);
        }
      }),
    );
  });

  test("leave ions free that nobody asked for", () => {
    const recipe = saltsForIons({ magnesium: 12 }, ["magnesium-chloride-hexahydrate"]);
    expect(recipe.feasible).toBe(true);
    expect(recipe.achieved.chloride).toBeCloseTo((2 * 12 * 35.45) / 24.305, 9);
    expect(recipe.residual).toEqual({ magnesium: expect.closeTo(0, 9) });
  });

  test("say so when no mixture reaches the target", () => {
    // Sodium without an anion that may come along.
    const recipe = saltsForIons({ sodium: 23, chloride: 0 }, ["sodium-chloride"]);
    expect(recipe.feasible).toBe(false);
    // Half way in meq/L: one meq of sodium too few weighs as much as one meq of chloride too many.
    expect(milliequivalents("sodium", recipe.achieved.sodium ?? 0)).toBeCloseTo(0.50022, 4);
    expect(recipe.residual.chloride).toBeLessThan(0);
  });

  test("count a residual of 0.1 mg/L as reached", () => {
    const target = (sulfate: number) => ({ calcium: 40, chloride: 70.76, sulfate });
    expect(saltsForIons(target(0.0999), ["calcium-chloride"]).feasible).toBe(true);
    expect(saltsForIons(target(0.1001), ["calcium-chloride"]).feasible).toBe(false);
  });
});

test("non-negative least squares meet the conditions of Karush, Kuhn and Tucker", () => {
  const value = fc.double({ min: -2, max: 2, noNaN: true });
  const matrix = fc.array(fc.array(value, { minLength: 6, maxLength: 6 }), {
    minLength: 1,
    maxLength: 5,
  });
  fc.assert(
    fc.property(matrix, fc.array(value, { minLength: 6, maxLength: 6 }), (columns, target) => {
      const solution = nonNegativeLeastSquares(columns, target);
      const left = target.map(
        (wanted, row) =>
          wanted -
          columns.reduce((sum, column, i) => sum + (column[row] ?? 0) * (solution[i] ?? 0), 0),
      );
      for (const [index, column] of columns.entries()) {
        const gradient = column.reduce((sum, entry, row) => sum + entry * (left[row] ?? 0), 0);
        const amount = solution[index] ?? Number.NaN;
        expect(amount).toBeGreaterThanOrEqual(0);
        expect(gradient).toBeLessThan(1e-6);
        expect(Math.abs(gradient * amount)).toBeLessThan(1e-5);
      }
    }),
  );
});
