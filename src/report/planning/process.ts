import type { Endpoint } from "../../experiment/endpoint.ts";
import { brewPairs, type Plan } from "../../experiment/plan.ts";
import { criticalCount } from "../../statistics/binomial.ts";
import { pairsForAnyClaim } from "../endpoints/process-pairs.ts";
import { contrastPairsForAnyClaim, smallestContrastPValue } from "../endpoints/triangle.ts";
import type { ProcessOutlook } from "./outlook.ts";

/** Whether the brew pairs can carry a claim about the process at all. */
export function processOutlook(endpoint: Endpoint, plan: Plan): ProcessOutlook {
  const pairs = brewPairs(plan);
  const perCoffee = plan.controls.sameTreatmentPairsPerCoffee;
  const common = { pairs, controlPairs: perCoffee * plan.coffees.length };
  return endpoint.kind === "overall-difference"
    ? { ...common, needsControlPairs: true, ...contrast(plan, perCoffee) }
    : { ...common, needsControlPairs: false, ...signFlips(pairs, plan.alpha) };
}

type Chance = Omit<ProcessOutlook, "pairs" | "controlPairs" | "needsControlPairs">;

function signFlips(pairs: number, alpha: number): Chance {
  const smallestPossiblePValue = Math.min(1, 2 ** (1 - pairs));
  return {
    smallestPossiblePValue,
    claimable: smallestPossiblePValue <= alpha,
    pairsForAnyClaim: pairsForAnyClaim(alpha),
    pairsThatMustAgree: criticalCount(pairs, 1 / 2, alpha, "two"),
  };
}

/** Triangles have no side to lean to: their pairs are held against two pots of one treatment. */
function contrast(plan: Plan, controlsPerCoffee: number): Chance {
  const { coffees, brewPairsPerCoffee, alpha } = plan;
  const smallest =
    controlsPerCoffee > 0
      ? smallestContrastPValue(coffees.length, brewPairsPerCoffee, controlsPerCoffee)
      : null;
  return {
    smallestPossiblePValue: smallest,
    claimable: smallest !== null && smallest <= alpha,
    pairsForAnyClaim: contrastPairsForAnyClaim(coffees.length, controlsPerCoffee, alpha),
    pairsThatMustAgree: null,
  };
}
