export type ExtractionZone = "under" | "ideal" | "over";
export type StrengthZone = "weak" | "ideal" | "strong";

/**
 * The classic box of the brewing control chart: extraction yield 18–22 %, strength (coffee solids)
 * 1.15–1.35 %, edges inside.
 * Source: Lockhart EE, The Soluble Solids in Beverage Coffee as an Index to Cup Quality, Coffee
 * Brewing Institute, 1957; quoted in Batali et al., Sci Rep 2020;10:16450.
 */
export const idealBox = {
  extractionPercent: { lower: 18, upper: 22 },
  tdsPercent: { lower: 1.15, upper: 1.35 },
} as const;

/** Where a brew lies on the control chart, from yield and coffee strength in percent. */
export function zone(
  extractionPercent: number,
  coffeeTdsPercent: number,
): { extraction: ExtractionZone; strength: StrengthZone } {
  const extraction = side(extractionPercent, idealBox.extractionPercent);
  const strength = side(coffeeTdsPercent, idealBox.tdsPercent);
  return {
    extraction: pick(extraction, "under", "ideal", "over"),
    strength: pick(strength, "weak", "ideal", "strong"),
  };
}

/**
 * Strength (percent) on a ratio line of the chart: TDS = yield / (ratio − absorbed), where the
 * grounds hold `absorbedGramsPerGram` of liquid per gram of coffee.
 * Source: mass balance of the brewing control chart (Lockhart 1957; Lingle, The Coffee Brewing
 * Handbook); absorption in print runs from 1.5 to 2.5 g/g.
 */
export function strengthOnRatioLine(
  extractionPercent: number,
  brewRatio: number,
  absorbedGramsPerGram: number,
): number {
  return extractionPercent / (brewRatio - absorbedGramsPerGram);
}

/** Grams of liquid that the grounds keep per gram of coffee; in print from 1.5 to 2.5. */
export function absorbedGramsPerGram(
  brewWaterGrams: number,
  beverageGrams: number,
  doseGrams: number,
): number {
  return (brewWaterGrams - beverageGrams) / doseGrams;
}

type Side = -1 | 0 | 1;

function side(value: number, { lower, upper }: { lower: number; upper: number }): Side {
  // The edges belong to the box, and a computed 22.000000000000004 is the edge.
  const rounding = 1e-9;
  if (value < lower - rounding) return -1;
  return value > upper + rounding ? 1 : 0;
}

function pick<Below, Inside, Above>(at: Side, below: Below, inside: Inside, above: Above) {
  if (at < 0) return below;
  return at > 0 ? above : inside;
}
