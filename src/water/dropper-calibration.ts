import type { Dropper } from "./cup-dose.ts";
import { millilitresOfWater } from "./density.ts";

/** Repeated weighings (g) of the same number of drops of water at a temperature in °C. */
export interface DropWeighings {
  drops: number;
  grams: readonly number[];
  /** Standard uncertainty of one weighing. */
  scaleGrams: number;
  temperature: number;
}

/**
 * A dropper that was calibrated by weighing. The relative standard uncertainty joins the spread of
 * the weighings, since a later dose is one such count again, with the scale's. At least two weighings.
 * Source: JCGM 100:2008, 4.2.2.
 */
export function calibratedDropper(weighings: DropWeighings): Dropper {
  const { drops, grams, scaleGrams, temperature } = weighings;
  const mean = grams.reduce((sum, each) => sum + each, 0) / grams.length;
  const squares = grams.reduce((sum, each) => sum + (each - mean) ** 2, 0);
  const spread = Math.sqrt(squares / (grams.length - 1));
  return {
    dropMillilitres: millilitresOfWater(mean, temperature) / drops,
    dropRelativeUncertainty: Math.hypot(spread, scaleGrams) / mean,
  };
}
