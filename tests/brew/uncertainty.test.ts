import { describe, expect, test } from "vitest";
import { type BrewReading, extraction } from "../../src/brew/extraction.ts";
import { propagate, repeatUncertainty, weighingUncertainty } from "../../src/brew/uncertainty.ts";
import { seededNormal, standardDeviation } from "../water/seeded-normal.ts";

describe("the uncertainty of an extraction yield", () => {
  const known = { doseGrams: 0.1, beverageGrams: 2, tdsPercent: 0.02 };
  const brews: BrewReading[] = [
    {
      kind: "percolation",
      doseGrams: 26,
      beverageGrams: 336,
      readingsPercent: [1.48],
      addedMillilitres: 6.72,
      mineralMilligramsPerLitre: 180,
      uncertainties: known,
    },
    {
      kind: "immersion",
      doseGrams: 18,
      beverageGrams: 262,
      brewWaterGrams: 300,
      readingsPercent: [1.25],
      uncertainties: known,
    },
  ];

  test.each(brews)("of a $kind agrees with a Monte Carlo within 2 %", (brew) => {
    const normal = seededNormal(4);
    const { doseGrams, beverageGrams, tdsPercent } = known;
    const simulated = Array.from({ length: 40_000 }, () => {
      const drawn = extraction({
        ...brew,
        doseGrams: brew.doseGrams + doseGrams * normal(),
        beverageGrams: brew.beverageGrams + beverageGrams * normal(),
        readingsPercent: [(brew.readingsPercent[0] ?? 0) + tdsPercent * normal()],
        uncertainties: {},
      });
      return drawn.ok ? drawn.extractionPercent : Number.NaN;
    });
    const result = extraction(brew);
    const ratio =
      (result.ok ? result.standardUncertainty : Number.NaN) / standardDeviation(simulated);
    expect(ratio).toBeGreaterThan(0.98);
    expect(ratio).toBeLessThan(1.02);
  });

  // An invented brew, worked out by an independent program.
  test("is 0.224 points for ± 0.03 % TDS, 0.17 g of beverage and 0.017 g of coffee", () => {
    const result = extraction({
      kind: "percolation",
      doseGrams: 26,
      beverageGrams: 336,
      readingsPercent: [1.48],
      uncertainties: { doseGrams: 0.017, beverageGrams: 0.17, tdsPercent: 0.03 / Math.sqrt(3) },
    });
    expect(result.ok && result.extractionPercent).toBeCloseTo(19.1262, 4);
    expect(result.ok && result.standardUncertainty).toBeCloseTo(0.2244, 4);
  });
});

describe("propagation", () => {
  test("is exact for products of powers", () => {
    const result = propagate(
      (x, y) => x ** 2 / y,
      [
        { name: "x", value: 3, standardUncertainty: 0.01 },
        { name: "y", value: 4, standardUncertainty: 0.02 },
      ],
    );
    expect(result.contributions[0]?.sensitivity).toBeCloseTo(6 / 4, 9);
    expect(result.contributions[1]?.sensitivity).toBeCloseTo(-9 / 16, 9);
    expect(result.standardUncertainty).toBeCloseTo(Math.hypot(0.015, (0.02 * 9) / 16), 11);
  });

  test("lets fully correlated errors of a ratio cancel", () => {
    const inputs = [
      { name: "x", value: 2, standardUncertainty: 0.02 },
      { name: "y", value: 4, standardUncertainty: 0.04 },
    ];
    const together = propagate((x, y) => x / y, inputs, [{ between: [0, 1], coefficient: 1 }]);
    expect(together.standardUncertainty).toBeLessThan(1e-8);
    expect(propagate((x, y) => x / y, inputs).standardUncertainty).toBeCloseTo(
      0.005 * Math.SQRT2,
      9,
    );
  });

  test("sees an input whose value is zero", () => {
    const result = propagate((x) => 5 + 3 * x, [{ name: "x", value: 0, standardUncertainty: 0.1 }]);
    expect(result.standardUncertainty).toBeCloseTo(0.3, 10);
  });
});

test.each([
  { step: 0.01, expected: 0.016833 },
  { step: 0.001, expected: 0.0016833 },
  { step: 0.1, expected: 0.16833 },
])("weighing by difference on a $step g scale has u = $expected g", ({ step, expected }) => {
  // Two readings, each half a step and ± 2 steps of linearity, rectangular: an own budget.
  expect(weighingUncertainty(step) / expected).toBeCloseTo(1, 4);
});

test("repeated readings spread as s/√n, and a single one tells nothing of it", () => {
  expect(repeatUncertainty([1.31, 1.32, 1.33])).toBeCloseTo(0.01 / Math.sqrt(3), 12);
  expect(repeatUncertainty([1.32])).toBe(0);
});
