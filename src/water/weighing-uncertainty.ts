/** A scale as its maker describes it: ± tolerance and display step, both in g. */
export interface Scale {
  toleranceGrams: number;
  stepGrams: number;
}

/** Standard uncertainty of a ± tolerance within which every value is alike likely. Source: JCGM 100:2008, 4.3.7. */
export function rectangular(tolerance: number): number {
  return tolerance / Math.sqrt(3);
}

/**
 * Standard uncertainty in g of a mass weighed by difference (tare and gross): twice the scale's
 * tolerance and half its step, both rectangular.
 * Source: Eurachem/CITAC Guide CG 4, Quantifying uncertainty in analytical measurement,
 * example A2 (tare and gross are counted both).
 */
export function weighingUncertainty({ toleranceGrams, stepGrams }: Scale): number {
  const single = Math.hypot(rectangular(toleranceGrams), rectangular(stepGrams / 2));
  return Math.SQRT2 * single;
}

/**
 * Display step in g of a scale of which only the standard uncertainty by difference is known: the
 * power of ten whose own uncertainty is nearest (on a ratio scale), taking a tolerance of two steps,
 * as is typical of kitchen and laboratory scales (common practice, no source). 0 for a perfect scale.
 */
export function likelyStep(standardUncertaintyGrams: number): number {
  if (standardUncertaintyGrams === 0) return 0;
  const ofOneGram = weighingUncertainty({ toleranceGrams: 2, stepGrams: 1 });
  return Number(`1e${Math.round(Math.log10(standardUncertaintyGrams / ofOneGram))}`);
}
