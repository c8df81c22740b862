import { type WaterCaution, waterCautions } from "./cautions.ts";
import type { Ions } from "./ions.ts";
import { type MatchPlan, sameRecipe } from "./match-plan.ts";
import type { MatchRecipe } from "./match-recipe.ts";
import type { Mismatch } from "./mismatch.ts";
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

/** What to change, in the order in which it helps, when a match doesn't pass. */
export function matchAdvice(plan: MatchPlan, { ions, verdict }: Mismatch): string[] {
  if (verdict === "passes") return [];
  const worst = ions.reduce<Mismatch["ions"][number] | null>((most, ion) => {
    const reach = (one: typeof ion | null) =>
      one === null ? -1 : (one.fromIntention.expandedUncertaintyPercent ?? 0);
    return reach(ion) > reach(most) ? ion : most;
  }, null);
  const design = sameRecipe(plan)
    ? []
    : ["The two arms get different recipes by design: judge each against its own target."];
  const causes = worst?.budget.slice(0, 3) ?? [];
  const advice = causes.map((effect) => remedy(effect.source, plan));
  return [...new Set([...design, ...advice])];
}

function remedy(source: string, plan: MatchPlan): string {
  if (source === "transfer") {
    return (
      "The transfer from brew water to cup dominates: measure it, or a better scale won't help. " +
      "Until then matching of this ion is not demonstrated."
    );
  }
  if (source.includes("weighing")) {
    return "Weigh larger lots (bigger batch, stronger or larger stock), use a finer scale, or one stock for both arms.";
  }
  if (source.includes("dose")) {
    return (
      `Dose more exactly: a weaker stock in a larger dose than ${plan.doseMillilitres} mL, a ` +
      "calibrated pipette, or dosing by weight."
    );
  }
  if (source.includes("beverage")) {
    return "Weigh the beverage on a finer scale and dose in proportion to it.";
  }
  return `Reduce the uncertainty of: ${source}.`;
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
