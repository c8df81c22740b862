import { waterDensity } from "./density.ts";
import type { MatchPlan } from "./match-plan.ts";
import type { MatchRecipe } from "./match-recipe.ts";
import { type SaltName, saltNames } from "./salts.ts";

/** What a session takes of everything, without spares. */
export interface Needs {
  coffeeGrams: number;
  /** Base water: brewed with, in stock bottles, and as sham dose. */
  baseWaterGrams: number;
  /** Whole batches of mineral brew water, and fillings of the stock bottle. */
  batches: number;
  stocks: number;
  /** As weighed, over all batches and stocks. */
  salts: { salt: SaltName; grams: number }[];
}

/** Coffee, water and salts for the plan's brews, made in whole batches and whole stocks. */
export function sessionNeeds(plan: MatchPlan, { batch, stock }: MatchRecipe): Needs {
  const { brews, brewWaterGrams, batchGrams, doseMillilitres, stockMillilitres } = plan;
  const batches = wholes(brews.before * brewWaterGrams, batchGrams);
  const stocks = stock.length === 0 ? 0 : wholes(brews.after * doseMillilitres, stockMillilitres);
  const dosedMillilitres = stocks * stockMillilitres + brews.before * doseMillilitres;
  const shamAfter = stock.length === 0 ? brews.after * doseMillilitres : 0;
  const density = waterDensity(plan.temperature) / 1000;
  const weighed = saltNames.map((salt) => ({
    salt,
    grams: batches * gramsOf(batch, salt) + stocks * gramsOf(stock, salt),
  }));
  return {
    coffeeGrams: (brews.before + brews.after) * plan.doseGrams,
    baseWaterGrams:
      batches * batchGrams +
      brews.after * brewWaterGrams +
      (dosedMillilitres + shamAfter) * density,
    batches,
    stocks,
    salts: weighed.filter(({ grams }) => grams > 0),
  };
}

/** Whole lots that hold an amount; a hair of rounding doesn't ask for another lot. */
export function wholes(amount: number, lot: number): number {
  return Math.ceil(amount / lot - 1e-9);
}

function gramsOf(weighings: readonly { salt: SaltName; grams: number }[], salt: SaltName): number {
  return weighings.find((entry) => entry.salt === salt)?.grams ?? 0;
}
