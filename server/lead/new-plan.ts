import type { Draft } from "../store/experiments.ts";

/**
 * What a new plan form holds: a panel of common size, two brewers to swap, hidden controls, and
 * margins that most people would start from. Common practice, no source.
 */
export const newDraft: Draft = {
  "overall.role": "primary",
  "overall.margin": "30",
  "direction.0.role": "secondary",
  "direction.0.margin": "30",
  "preference.role": "",
  "preference.margin": "30",
  "score.0.role": "exploratory",
  "score.0.margin": "8",
  "yield.role": "exploratory",
  "yield.margin": "0.5",
  alpha: "0.05",
  coffeeClaims: "after-overall",
  tasters: "12",
  spareSeats: "2",
  brewPairsPerCoffee: "2",
  replicates: "1",
  "controls.samePot": "1",
  "controls.sameTreatmentPairsPerCoffee": "0",
  coffeeOrder: "rounds",
  cannotTellAllowed: "",
  brewers: "Left brewer\nRight brewer",
  "recipe.doseGrams": "60",
  "recipe.brewWaterGrams": "1000",
  "recipe.millilitresPerCup": "15",
  "recipe.servingTemperatureCelsius": "60",
  "brewLimits.doseGrams": "0.3",
  "brewLimits.brewWaterGrams": "5",
  "brewLimits.brewSeconds": "20",
  "brewLimits.tdsSpreadPercent": "0.04",
  exclusionRule:
    "Sets that were voided with a reason in the incident log, and brew pairs outside the limits above, are left out. Sets with exchanged cups are analysed as scored, corrected and left out, and the weakest leads. Everything else counts.",
};
