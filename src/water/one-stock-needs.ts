import { waterDensity } from "./density.ts";
import type { MatchPlan } from "./match-plan.ts";
import type { Bottle } from "./matching.ts";
import type { OneStock } from "./one-stock.ts";
import { saltNames } from "./salts.ts";
import { type Needs, wholes } from "./session-needs.ts";

/**
 * What a session takes when both arms are dosed from the same bottles, without spares: bottles are
 * filled whole; brew water comes in whole batches, or brew by brew with a double dummy.
 */
export function oneStockNeeds(
  plan: MatchPlan,
  bottles: readonly Bottle[],
  dosed: OneStock,
  way: "one-stock" | "double-dummy",
): Needs {
  const { brews, brewWaterGrams, batchGrams, doseMillilitres, stockMillilitres } = plan;
  const poured = brews.before * brewWaterGrams;
  const batches = way === "one-stock" ? wholes(poured, batchGrams) : 0;
  const lots = way === "one-stock" ? batches : brews.before;
  const mineralWater = way === "one-stock" ? batches * batchGrams : poured;
  const perBottle = lots * dosed.beforeMillilitres + brews.after * dosed.afterMillilitres;
  const stocks = wholes(perBottle, stockMillilitres);
  const density = waterDensity(plan.temperature) / 1000;
  const inBottles = bottles.length * (stocks * stockMillilitres - lots * dosed.beforeMillilitres);
  const weighed = bottles.flatMap((bottle) => bottle.salts);
  return {
    coffeeGrams: (brews.before + brews.after) * plan.doseGrams,
    baseWaterGrams:
      mineralWater +
      brews.after * brewWaterGrams +
      (inBottles + brews.before * doseMillilitres) * density,
    batches,
    stocks,
    salts: saltNames.flatMap((salt) => {
      const grams = stocks * (weighed.find((entry) => entry.salt === salt)?.grams ?? 0);
      return grams > 0 ? [{ salt, grams }] : [];
    }),
  };
}
