/**
 * Refractive index of 2 % (by mass) of an anhydrous salt above that of water, 20 °C, sodium light.
 * Source: CRC Handbook of Chemistry and Physics, 102nd ed., concentrative properties of aqueous
 * solutions; printed to 0.0001, so each is good to 2–4 %.
 */
export const indexIncrements = {
  "magnesium-sulfate": 0.0041,
  "magnesium-chloride": 0.0051,
  "calcium-chloride": 0.0048,
  "sodium-chloride": 0.0035,
  "potassium-chloride": 0.0027,
  "sodium-bicarbonate": 0.0027,
  "potassium-bicarbonate": 0.0023,
} as const;

const sucroseIncrement = 0.0029;

export type ReadSalt = keyof typeof indexIncrements;

/** How strongly a sugar refractometer reads a salt by mass, where sucrose is 1. */
export function readingRelativeToSucrose(salt: ReadSalt): number {
  return indexIncrements[salt] / sucroseIncrement;
}

/** Customary factor from a sucrose scale to coffee solids: common practice, approximate. */
const coffeeScale = 0.85;

/**
 * The factor by which a coffee refractometer reads a mixture of salts (mg/L, anhydrous): 1 would
 * count their mass as coffee. Null for a mixture of nothing.
 */
export function mineralReadingFactor(
  salts: readonly { salt: ReadSalt; milligramsPerLitre: number }[],
): number | null {
  const total = salts.reduce((sum, { milligramsPerLitre }) => sum + milligramsPerLitre, 0);
  if (total === 0) return null;
  const read = salts.reduce(
    (sum, { salt, milligramsPerLitre }) =>
      sum + readingRelativeToSucrose(salt) * milligramsPerLitre,
    0,
  );
  return (coffeeScale * read) / total;
}
