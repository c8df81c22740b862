import fc from "fast-check";
import { describe, expect, test } from "vitest";
import { type BrewReading, extraction } from "../../src/brew/extraction.ts";

const filter: BrewReading = {
  kind: "percolation",
  doseGrams: 20,
  beverageGrams: 300,
  readingsPercent: [1.32],
};

describe("extraction", () => {
  test("counts the edges of the ideal box as ideal, whatever the rounding", () => {
    // 1.32 × 300 ÷ 18 is 22.000000000000004 in floating point.
    expect(extraction({ ...filter, doseGrams: 18 })).toMatchObject({
      zone: { extraction: "ideal", strength: "ideal" },
    });
    expect(extraction({ ...filter, doseGrams: 17.99 })).toMatchObject({
      zone: { extraction: "over", strength: "ideal" },
    });
  });

  test("has no brew ratio without the brew water", () => {
    expect(extraction(filter)).toMatchObject({ brewRatio: null });
    expect(extraction({ ...filter, brewWaterGrams: 340 })).toMatchObject({ brewRatio: 17 });
  });

  test("refuses an immersion without its brew water", () => {
    const refusal = { ok: false, refusal: "brew-water-missing" };
    expect(extraction({ ...filter, kind: "immersion" })).toEqual(refusal);
  });

  test("refuses a beverage heavier than water and coffee together", () => {
    const refusal = { ok: false, refusal: "beverage-exceeds-balance" };
    expect(extraction({ ...filter, brewWaterGrams: 279 })).toEqual(refusal);
  });

  test("refuses minerals that outweigh the reading", () => {
    const refusal = { ok: false, refusal: "minerals-exceed-reading" };
    expect(extraction({ ...filter, mineralMilligramsPerLitre: 14_000 })).toEqual(refusal);
  });

  test("refuses more dissolved solids than coffee", () => {
    const refusal = { ok: false, refusal: "extraction-exceeds-dose" };
    expect(extraction({ ...filter, readingsPercent: [8] })).toEqual(refusal);
  });

  const exact = { doseGrams: 0, beverageGrams: 0, tdsPercent: 0 };

  test("takes an uncertainty of 0 as exact", () => {
    const exactBut = (tdsPercent: number) =>
      extraction({ ...filter, uncertainties: { ...exact, tdsPercent } });
    expect(exactBut(0)).toMatchObject({ standardUncertainty: 0 });
    const one = exactBut(0.02);
    expect(one.ok && one.standardUncertainty).toBeCloseTo((0.02 * 300) / 20, 9);
  });

  test("takes usual instruments for every uncertainty that is not stated", () => {
    const usual = extraction(filter);
    expect(usual.ok && usual.standardUncertainty).toBeGreaterThan((0.017 * 300) / 20);
    expect(extraction({ ...filter, uncertainties: {} })).toEqual(usual);
    const spreadOf = (uncertainties: BrewReading["uncertainties"]) => {
      const result = extraction({ ...filter, uncertainties });
      return result.ok ? result.contributions.map((part) => part.standardUncertainty) : [];
    };
    const [dose, beverage, reading] = spreadOf(undefined);
    expect(spreadOf({ tdsPercent: 0.5 })).toEqual([dose, beverage, 0.5]);
    expect(spreadOf({ doseGrams: 0, beverageGrams: 9 })).toEqual([0, 9, reading]);
  });

  test("adds the scatter of repeated readings to the instrument's uncertainty", () => {
    const readings = { ...filter, readingsPercent: [1.31, 1.32, 1.33] };
    const result = extraction({ ...readings, uncertainties: { ...exact, tdsPercent: 0.02 } });
    const scatter = 0.01 / Math.sqrt(3);
    expect(result.ok && result.standardUncertainty).toBeCloseTo(15 * Math.hypot(0.02, scatter), 9);
  });

  test("gives the same yield whether read before or after a dose and its minerals", () => {
    fc.assert(
      fc.property(brews, fc.double({ min: 0, max: 60, noNaN: true }), (brew, added) => {
        const before = extraction(brew);
        const mineral = 250;
        const diluted = brew.readingsPercent.map(
          (reading) => (reading * brew.beverageGrams) / (brew.beverageGrams + added),
        );
        const after = extraction({
          ...brew,
          readingsPercent: diluted.map((reading) => reading + (0.9 * mineral) / 1e4),
          addedMillilitres: added,
          mineralMilligramsPerLitre: mineral,
          mineralReadingFactor: 0.9,
        });
        if (!before.ok || !after.ok) throw new Error("both brews are valid");
        expect(after.extractionPercent).toBeCloseTo(before.extractionPercent, 9);
        expect(after.coffeeTdsPercent).toBeCloseTo(before.coffeeTdsPercent, 10);
      }),
    );
  });

  test("does not depend on the size of the brew", () => {
    fc.assert(
      fc.property(brews, fc.double({ min: 0.1, max: 20, noNaN: true }), (brew, factor) => {
        const scaled = {
          ...brew,
          doseGrams: brew.doseGrams * factor,
          beverageGrams: brew.beverageGrams * factor,
          brewWaterGrams: (brew.brewWaterGrams ?? 0) * factor,
        };
        const [small, large] = [extraction(brew), extraction(scaled)];
        if (!small.ok || !large.ok) throw new Error("both brews are valid");
        expect(large.extractionPercent).toBeCloseTo(small.extractionPercent, 9);
      }),
    );
  });
});

const brews: fc.Arbitrary<BrewReading> = fc
  .record({
    kind: fc.constantFrom("percolation" as const, "immersion" as const),
    doseGrams: fc.double({ min: 5, max: 100, noNaN: true }),
    ratio: fc.double({ min: 10, max: 20, noNaN: true }),
    readingsPercent: fc.array(fc.double({ min: 0.5, max: 2, noNaN: true }), {
      minLength: 1,
      maxLength: 5,
    }),
  })
  .map(({ ratio, ...brew }) => ({
    ...brew,
    brewWaterGrams: brew.doseGrams * ratio,
    beverageGrams: brew.doseGrams * (ratio - 2),
  }));
