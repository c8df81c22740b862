import { expect, test } from "vitest";
import { extraction } from "../../src/brew/extraction.ts";
import { mineralReadingFactor } from "../../src/brew/refractometer.ts";

// An invented brew, worked out by an independent program: 178 mg/L of salts read as 0.0194 % coffee
// and would lift the yield of one arm by a quarter of a point.
test("minerals that are read as coffee would raise the yield by 0.25 points", () => {
  const salts = [
    { salt: "magnesium-chloride", milligramsPerLitre: 47 },
    { salt: "calcium-chloride", milligramsPerLitre: 49.8 },
    { salt: "potassium-bicarbonate", milligramsPerLitre: 80 },
  ] as const;
  const mineralMilligramsPerLitre = 176.8;
  const factor = mineralReadingFactor(salts) ?? 0;
  expect((factor * mineralMilligramsPerLitre) / 1e4).toBeCloseTo(0.0194, 4);
  const brew = {
    kind: "percolation",
    doseGrams: 26,
    beverageGrams: 336,
    readingsPercent: [1.48],
  } as const;
  const naive = extraction(brew);
  const corrected = extraction({
    ...brew,
    mineralMilligramsPerLitre,
    mineralReadingFactor: factor,
  });
  if (!naive.ok || !corrected.ok) throw new Error("both brews are valid");
  expect(naive.extractionPercent - corrected.extractionPercent).toBeCloseTo(0.251, 3);
});

test("a mixture of nothing has no factor", () => {
  expect(mineralReadingFactor([])).toBeNull();
});
