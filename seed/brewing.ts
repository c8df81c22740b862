import { stringify } from "csv-stringify/sync";
import type { Store } from "../server/store/database.ts";
import { brewerPots } from "../server/store/sheets.ts";
import type { RandomSource } from "../src/design/random.ts";
import { coffeeName, type Plan } from "../src/experiment/plan.ts";
import { normal, truthOf } from "./palate.ts";
import { demoTruth } from "./scenario.ts";

/** A filled-in brew sheet of every pot, as a brewer would hand it in. */
export async function brewSheetOf(
  db: Store,
  sessionId: string,
  plan: Plan,
  random: RandomSource,
): Promise<string> {
  const { doseGrams, brewWaterGrams } = plan.recipe;
  const rows = (await brewerPots(db, sessionId)).map((pot) => {
    const beverageGrams = brewWaterGrams - 2.05 * doseGrams + 4 * normal(random);
    const extraction = truthOf(demoTruth.extraction, pot.coffeeId) + 0.25 * normal(random);
    const minerals = plan.treatments[pot.treatment].mineralsInReadingMilligramsPerLitre / 1e4;
    const tds = (extraction * doseGrams) / beverageGrams + minerals;
    const readings = [0, 1, 2].map(() => (tds + 0.006 * normal(random)).toFixed(2));
    return {
      coffee: coffeeName(plan, pot.coffeeId),
      pot: pot.letter,
      water_label: pot.waterLabel,
      brewer: pot.brewer,
      dose_g: (doseGrams + 0.04 * normal(random)).toFixed(2),
      brew_water_g: (brewWaterGrams + normal(random)).toFixed(0),
      beverage_g: beverageGrams.toFixed(1),
      brew_s: (205 + 4 * normal(random)).toFixed(0),
      tds_percent: readings.join(" "),
      sample: "no-addition",
      added_g: "0",
    };
  });
  return stringify(rows, { header: true });
}
