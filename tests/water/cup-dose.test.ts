import fc from "fast-check";
import { describe, expect, test } from "vitest";
import { doseForTarget, doseOfDrops, uncalibratedDropper } from "../../src/water/cup-dose.ts";

const grams = fc.double({ min: 20, max: 1000, noNaN: true });
const strength = fc.double({ min: 1, max: 200, noNaN: true });

describe("a dose into the cup", () => {
  test("undone by its drops is the dose again", () => {
    const target = fc.double({ min: 1, max: 500, noNaN: true });
    fc.assert(
      fc.property(grams, strength, target, (beverage, stock, milligramsPerLitre) => {
        const dose = doseForTarget(beverage, milligramsPerLitre, stock, uncalibratedDropper);
        const again = doseOfDrops(beverage, dose?.drops ?? 0, stock, uncalibratedDropper);
        expect(again.milligramsPerLitre).toBeCloseTo(milligramsPerLitre, 8);
        expect(again.millilitres).toBeCloseTo(dose?.millilitres ?? Number.NaN, 8);
      }),
    );
  });

  test("fills the cup as v = c·B ∕ (1000·S − c)", () => {
    const dose = doseForTarget(200, 100, 10.1, uncalibratedDropper);
    expect(dose).toMatchObject({ millilitres: 2, milligramsPerLitre: expect.closeTo(100, 9) });
    expect(dose?.drops).toBeCloseTo(40, 9);
    expect(dose?.dilutionPercent).toBeCloseTo((100 * 2) / 202, 9);
  });

  test("can't reach a target that the stock doesn't exceed", () => {
    expect(doseForTarget(200, 1000, 1, uncalibratedDropper)).toBeNull();
  });

  test("is off with the drop size, however many drops are counted", () => {
    const few = doseOfDrops(200, 2, 10, uncalibratedDropper);
    const many = doseOfDrops(200, 20, 10, uncalibratedDropper);
    const relative = (dose: typeof few) => dose.standardUncertainty / dose.milligramsPerLitre;
    expect(relative(few)).toBeCloseTo(0.1758, 3);
    expect(relative(many)).toBeCloseTo(0.1758, 2);
  });
});
