import { logConstant } from "./equilibria.ts";
import type { Ions } from "./ions.ts";
import { type CarbonDioxide, speciate } from "./speciation.ts";

/** log10 of ion activity product over solubility product; null without the ions of the mineral. */
export interface SaturationIndices {
  calcite: number | null;
  gypsum: number | null;
}

/**
 * Saturation indices of a water (ions in mg/L) at a temperature (°C): above 0 the mineral can
 * precipitate, and a stock that keeps should stay under −0.3. Approximate in stocks stronger than
 * about 0.5 mol/kg.
 * Source: solubility products of phreeqc.dat, USGS Techniques and Methods 6-A43 (2013).
 */
export function saturation(
  ions: Ions,
  temperature: number,
  gas: CarbonDioxide = "closed",
): SaturationIndices {
  const water = speciate(ions, temperature, gas);
  const calcium = water.activity("calcium");
  const index = (anion: number, mineral: "calcite" | "gypsum") => {
    if (calcium === 0 || anion === 0) return null;
    return Math.log10(calcium * anion) - logConstant(mineral, temperature);
  };
  return {
    calcite: index(water.activity("carbonate"), "calcite"),
    gypsum: index(water.activity("sulfate"), "gypsum"),
  };
}
