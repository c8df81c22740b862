import { type WaterCaution, waterCautions } from "./cautions.ts";
import type { Ions } from "./ions.ts";
import type { MatchPlan } from "./match-plan.ts";
import type { MatchRecipe } from "./match-recipe.ts";
import { saltLabel, saltTable } from "./salts.ts";
import { stockCautions } from "./stock.ts";
import { weighingCautions } from "./weighing.ts";

/** Most that a dose may dilute a cup, percent of the beverage. */
const largestDilutionPercent = 3;

/** What to mind about bottles, weighings, the brew water and the salts of a match. */
export function matchCautions(
  plan: MatchPlan,
  { batch, stock }: MatchRecipe,
  brewWater: Ions,
): WaterCaution[] {
  const resolution = plan.instruments.scaleResolutionGrams;
  return [
    ...stockCautions(stock, plan),
    ...weighingCautions(batch, resolution, "batch"),
    ...weighingCautions(stock, resolution, "stock"),
    ...dilution(plan),
    ...unlikeTransfer(plan),
    ...waterCautions(brewWater),
    ...foodGrade(plan),
  ];
}

function dilution({ beverageGrams, doseMillilitres }: MatchPlan): WaterCaution[] {
  const percent = (100 * doseMillilitres) / beverageGrams;
  if (percent <= largestDilutionPercent) return [];
  const text =
    `The dose dilutes the cup by ${percent.toFixed(1)} % of the beverage and cools it: a stronger ` +
    `stock keeps it under ${largestDilutionPercent} %.`;
  return [{ code: "dilution", severity: "caution", text, source: "this program's own limit" }];
}

/** One salt carries two ions; it can be weighed for the transfer of one of them only. */
function unlikeTransfer({ transfer }: MatchPlan): WaterCaution[] {
  if (typeof transfer === "number") return [];
  const text =
    "Ions pass the bed differently, so one stock can't match all of them: each salt is weighed for " +
    "its cation and the other ion's mismatch is shown.";
  return [{ code: "transfer-differs", severity: "info", text, source: "mass balance" }];
}

function foodGrade({ salts, afterSalts }: MatchPlan): WaterCaution[] {
  const used = [...new Set([...salts, ...afterSalts].map(({ salt }) => salt))];
  if (used.length === 0) return [];
  const named = used
    .map((salt) => `${saltLabel(salt)} (${saltTable[salt].eNumber ?? "a food itself"})`)
    .join(", ");
  const text =
    `Use food-grade salts only, with a certificate of lot, assay and hydrate: ${named}. Local food ` +
    "and drinking-water codes come first.";
  const source = "Regulation (EC) No 1333/2008; Commission Regulation (EU) No 231/2012";
  return [{ code: "food-grade", severity: "info", text, source }];
}
