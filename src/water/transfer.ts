/** One trial brew, masses in grams, solids as mass fractions of their liquid. */
export interface TrialBrew {
  doseGrams: number;
  brewWaterGrams: number;
  beverageGrams: number;
  /** Wet spent bed. */
  bedGrams: number;
  /** Steam lost while brewing. */
  steamGrams: number;
  /** Water in the dose as weighed, fraction. */
  moisture: number;
  /** Coffee solids in the beverage and in the liquid that the bed holds. */
  beverageSolids: number;
  bedLiquidSolids: number;
}

/** Grams of liquid that the spent bed holds, by balance of the coffee's solids. */
export function bedLiquidGrams(brew: TrialBrew): number {
  const drySolids = brew.doseGrams * (1 - brew.moisture);
  const left = brew.bedGrams - drySolids + brew.beverageSolids * brew.beverageGrams;
  return left / (1 - brew.bedLiquidSolids);
}

/**
 * Transfer factor T: added mineral per gram of beverage over the same per gram of brew water, by
 * four pictures of how minerals divide between cup and grounds. They differ by more than brewing
 * repeats do, so that T carries an uncertainty of its own until it is measured.
 * - `wellMixed`: beverage and held liquid have one concentration
 * - `plugFlow`: every gram of water keeps its minerals; solids and steam rescale
 * - `boundWater`: part of the bed's water (grams per gram of coffee) takes no minerals
 * - `uptake`: the grounds keep some (mg per gram of coffee) of what the water (mg/kg) brought
 * Source: mass balances; no published model for brewed coffee is known to us.
 */
export function transferModels(
  brew: TrialBrew,
  { boundGramsPerGram, uptakeMilligramsPerGram, addedMilligramsPerKilogram }: TransferGuess,
): { wellMixed: number; plugFlow: number; boundWater: number; uptake: number } {
  const { doseGrams, brewWaterGrams, beverageGrams, steamGrams, moisture, beverageSolids } = brew;
  const liquid = beverageGrams + bedLiquidGrams(brew);
  const water = brewWaterGrams - steamGrams + moisture * doseGrams;
  const carried = (1 - beverageSolids) * brewWaterGrams;
  const wellMixed = brewWaterGrams / liquid;
  // mg kept, over mg per gram of liquid.
  const kept = uptakeMilligramsPerGram * doseGrams;
  return {
    wellMixed,
    plugFlow: carried / water,
    boundWater: carried / (water - boundGramsPerGram * doseGrams),
    uptake: wellMixed - (1000 * kept) / (addedMilligramsPerKilogram * liquid),
  };
}

export interface TransferGuess {
  boundGramsPerGram: number;
  uptakeMilligramsPerGram: number;
  addedMilligramsPerKilogram: number;
}
