/** A dropper: nominal drop size, and its relative standard uncertainty. */
export interface Dropper {
  dropMillilitres: number;
  dropRelativeUncertainty: number;
}

/**
 * A dropper that nobody has calibrated: 0.05 mL is a convention, and 19 dropper bottles gave 33.8 to
 * 63.4 µL, a relative standard uncertainty of 18 % when all sizes between are alike likely.
 * Source: German, Hurst, Wood, Eye 1999;13:93–100.
 */
export const uncalibratedDropper: Dropper = {
  dropMillilitres: 0.05,
  dropRelativeUncertainty: (63.4 - 33.8) / 2 / Math.sqrt(3) / ((63.4 + 33.8) / 2),
};

export interface CupDose {
  millilitres: number;
  /** Not rounded: count the nearest whole number. */
  drops: number;
  milligramsPerLitre: number;
  /** Of the concentration, mg/L, when the dose is counted in drops. */
  standardUncertainty: number;
  /** Share of the dosed cup that is the dose. */
  dilutionPercent: number;
}

/**
 * The dose of a stock (g/L) that brings a cup (g, counted as mL) to a concentration (mg/L):
 * v = c·B ∕ (1000·S − c). Null when the stock isn't stronger than the target.
 */
export function doseForTarget(
  beverageGrams: number,
  milligramsPerLitre: number,
  stockGramsPerLitre: number,
  dropper: Dropper,
): CupDose | null {
  const margin = 1000 * stockGramsPerLitre - milligramsPerLitre;
  if (margin <= 0) return null;
  const millilitres = (milligramsPerLitre * beverageGrams) / margin;
  return dosed(beverageGrams, millilitres, stockGramsPerLitre, dropper);
}

/** What a number of drops of a stock did to a cup. */
export function doseOfDrops(
  beverageGrams: number,
  drops: number,
  stockGramsPerLitre: number,
  dropper: Dropper,
): CupDose {
  return dosed(beverageGrams, drops * dropper.dropMillilitres, stockGramsPerLitre, dropper);
}

function dosed(
  beverageGrams: number,
  millilitres: number,
  stockGramsPerLitre: number,
  { dropMillilitres, dropRelativeUncertainty }: Dropper,
): CupDose {
  const finished = beverageGrams + millilitres;
  const milligramsPerLitre = (1000 * stockGramsPerLitre * millilitres) / finished;
  return {
    millilitres,
    drops: millilitres / dropMillilitres,
    milligramsPerLitre,
    // Every drop of one dropper is off alike, so that counting more drops does not average it out.
    standardUncertainty: milligramsPerLitre * (beverageGrams / finished) * dropRelativeUncertainty,
    dilutionPercent: (100 * millilitres) / finished,
  };
}
