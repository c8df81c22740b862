import type { Plan } from "../experiment/plan.ts";
import { holm } from "../statistics/multiplicity.ts";
import type { EndpointFinding } from "./endpoint-finding.ts";
import { judgeCoffees, nameExceptions } from "./judge-coffees.ts";
import { levelOf, splitsAlpha } from "./level.ts";
import type { MeasuredEndpoint, MeasuredProcess } from "./measured.ts";
import type { ProcessClaim } from "./process-claim.ts";
import { atMost, stateOf } from "./verdict.ts";

/**
 * Holds what was measured against alpha: the primary endpoint uncorrected (alpha split between the
 * overall test and the coffees where the plan says so), secondary ones Holm-adjusted over each
 * other, exploratory ones as they are. Same order as given.
 */
export function judge(measured: readonly MeasuredEndpoint[], plan: Plan): EndpointFinding[] {
  const secondary = measured.filter((one) => one.role === "secondary");
  const differences = holmOver(secondary, (one) => one.difference.pValue);
  const margins = holmOver(secondary, (one) => one.margin.pValue);
  const processes = holmOver(secondary, (one) => one.process.pValue);
  return measured.map((one) =>
    judgeOne(one, plan, {
      difference: differences.get(one) ?? one.difference.pValue,
      margin: margins.get(one) ?? one.margin.pValue,
      process: processes.get(one) ?? one.process.pValue,
    }),
  );
}

interface Adjusted {
  difference: number | null;
  margin: number | null;
  process: number | null;
}

/** Holm over the endpoints; one without data stays in the family as p = 1. */
function holmOver(
  family: readonly MeasuredEndpoint[],
  pValueOf: (one: MeasuredEndpoint) => number | null,
): Map<MeasuredEndpoint, number> {
  const adjusted = holm(family.map((one) => pValueOf(one) ?? 1));
  return new Map(family.map((one, i) => [one, adjusted[i] ?? 1]));
}

function judgeOne(one: MeasuredEndpoint, plan: Plan, adjusted: Adjusted): EndpointFinding {
  const split = splitsAlpha(one, plan);
  const level = levelOf(one, plan);
  const overall = atMost(adjusted.difference, level);
  const within = atMost(adjusted.margin, plan.alpha);
  const judged = judgeCoffees(one, { level, alpha: plan.alpha, open: overall || split, within });
  const coffees = overall
    ? nameExceptions(judged, one, level)
    : judged.map(({ finding }) => finding);
  const byCoffees = split && coffees.some((coffee) => coffee.difference.shown);
  const shownBy = overall ? "overall" : byCoffees ? "coffees" : null;
  return {
    ...one,
    difference: { ...one.difference, adjustedPValue: adjusted.difference, level, shown: overall },
    margin: { ...one.margin, adjustedPValue: adjusted.margin, level: plan.alpha, within },
    state: stateOf(shownBy !== null, within),
    shownBy,
    process: judgeProcess(one.process, adjusted.process, plan.alpha),
    coffees,
    whatWouldDecide: null,
  };
}

function judgeProcess(
  { missing, ...process }: MeasuredProcess,
  adjustedPValue: number | null,
  alpha: number,
): ProcessClaim {
  return { ...process, adjustedPValue, status: statusOf() };

  function statusOf(): ProcessClaim["status"] {
    if (missing) return missing;
    if (!process.claimable) return "too-few-pairs";
    return atMost(adjustedPValue, alpha) ? "shown" : "not-shown";
  }
}
