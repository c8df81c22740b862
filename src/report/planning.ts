import { type Endpoint, setOf } from "../experiment/endpoint.ts";
import { brewPairs, type Plan } from "../experiment/plan.ts";
import { cupsPerTaster, presentationsPerTaster } from "../experiment/served-sets.ts";
import { falseAlarms } from "./planning/false-alarms.ts";
import {
  type EndpointOutlook,
  type PlanningSpreads,
  type PlanOutlook,
  USUAL_SPREADS,
} from "./planning/outlook.ts";
import { picksOutlook } from "./planning/picks.ts";
import { processOutlook } from "./planning/process.ts";
import { scoresOutlook, yieldOutlook } from "./planning/spreads.ts";
import { USUAL_POWER } from "./what-would-decide.ts";

/**
 * What a plan can and cannot detect: for these cups by exact binomial (paired t for scores and
 * yields, on assumed spreads), for the process by its brew pairs.
 */
export function planOutlook(plan: Plan, spreads: PlanningSpreads = USUAL_SPREADS): PlanOutlook {
  const cups = cupsPerTaster(plan);
  const pairsPerCoffee = plan.brewPairsPerCoffee + plan.controls.sameTreatmentPairsPerCoffee;
  return {
    alpha: plan.alpha,
    power: USUAL_POWER,
    cupsPerTaster: cups,
    cupsPerSession: cups * plan.tasters,
    presentationsPerTaster: presentationsPerTaster(plan),
    millilitresPerTaster: cups * plan.recipe.millilitresPerCup,
    brewPairs: brewPairs(plan),
    pots: 2 * plan.coffees.length * pairsPerCoffee,
    endpoints: plan.endpoints.map((endpoint) => outlookOf(endpoint, plan, spreads)),
  };
}

function outlookOf(endpoint: Endpoint, plan: Plan, spreads: PlanningSpreads): EndpointOutlook {
  const perTaster = plan.brewPairsPerCoffee * plan.replicates;
  const tasted = setOf(endpoint) !== null;
  const answersPerCoffee = tasted ? plan.tasters * perTaster : plan.brewPairsPerCoffee;
  return {
    endpointId: endpoint.id,
    answers: answersPerCoffee * plan.coffees.length,
    answersPerCoffee,
    tastersRepeat: tasted && perTaster * plan.coffees.length > 1,
    ...chancesOf(endpoint, plan, spreads),
    process: processOutlook(endpoint, plan),
    falseAlarms: falseAlarms(endpoint, plan, spreads.potSdLogit),
  };
}

function chancesOf(
  endpoint: Endpoint,
  plan: Plan,
  spreads: PlanningSpreads,
): Pick<EndpointOutlook, "difference" | "similarity"> {
  switch (endpoint.kind) {
    case "overall-difference":
    case "attribute-difference":
    case "direction":
    case "preference":
      return picksOutlook(endpoint, plan);
    case "attribute-score":
      return scoresOutlook(endpoint, plan, spreads.scorePoints);
    case "extraction-yield":
      return yieldOutlook(endpoint, plan, spreads.yieldPoints);
  }
}
