import { type ForcedChoiceEndpoint, isRightOrWrong, methodOf } from "../../experiment/endpoint.ts";
import type { Plan } from "../../experiment/plan.ts";
import { lowerTail } from "../../statistics/binomial.ts";
import { methods, similarityTest } from "../../statistics/discrimination.ts";
import { power } from "../../statistics/panel-size.ts";
import { hasTwoSides } from "../endpoints/forced-choice.ts";
import { levelOf } from "../level.ts";
import { USUAL_POWER } from "../what-would-decide.ts";
import { differenceChance } from "./difference-chance.ts";
import type { DifferenceOutlook, EndpointOutlook, SimilarityOutlook } from "./outlook.ts";
import { smallestShare } from "./smallest-effect.ts";

/** Picks of every method, exact; where tasters repeat, people are planned and not answers. */
export function picksOutlook(
  endpoint: ForcedChoiceEndpoint,
  plan: Plan,
): Pick<EndpointOutlook, "difference" | "similarity"> {
  return { difference: difference(endpoint, plan), similarity: similarity(endpoint, plan) };
}

/** Two-sided unless answers are right or wrong, or a direction was named beforehand. */
export function sidesOf(endpoint: ForcedChoiceEndpoint): "one" | "two" {
  if (isRightOrWrong(endpoint)) return "one";
  return endpoint.kind === "direction" && endpoint.expected !== null ? "one" : "two";
}

const EFFECTS = [0.1, 0.2, 0.3, 0.4, 0.5];

function difference(endpoint: ForcedChoiceEndpoint, plan: Plan): DifferenceOutlook {
  const level = levelOf(endpoint, plan);
  const sides = sidesOf(endpoint);
  const answersEach = plan.coffees.length * plan.brewPairsPerCoffee * plan.replicates;
  const attained = (proportionDistinguishing: number) =>
    power({
      method: methodOf(endpoint),
      sides,
      assessments: plan.tasters * answersEach,
      alpha: level,
      effect: { proportionDistinguishing },
    });
  const chance = (effect: number) =>
    differenceChance(
      { method: methodOf(endpoint), sides, alpha: level, tasters: plan.tasters, answersEach },
      effect,
    );
  return {
    sides,
    level,
    // Repeated picks are decided over tasters' sums, where no single count decides.
    criticalCount:
      answersEach > 1 && !isRightOrWrong(endpoint) ? null : attained(endpoint.margin).criticalCount,
    chances: EFFECTS.map((effect) => ({ effect, chance: chance(effect) })),
    chanceAtMargin: chance(endpoint.margin),
    smallestEffect: smallestShare((effect) => chance(effect) >= USUAL_POWER),
    assumedSd: null,
  };
}

/** How often identical cups pass on one coffee, and on all, coffees being independent then. */
function similarity(endpoint: ForcedChoiceEndpoint, plan: Plan): SimilarityOutlook {
  const assessments = plan.tasters * plan.brewPairsPerCoffee * plan.replicates;
  const method = methodOf(endpoint);
  const { guessing } = methods[method];
  const { maximumCount, minimumCount = null } = similarityTest({
    method,
    assessments,
    correct: 0,
    margin: endpoint.margin,
    alpha: plan.alpha,
    bothWays: hasTwoSides({ method }),
  });
  const below = (count: number | null) =>
    count === null ? 0 : lowerTail(count, assessments, guessing);
  const tooFew = minimumCount === null ? 0 : below(minimumCount - 1);
  const passOne = Math.max(0, below(maximumCount) - tooFew);
  return {
    maximumCount,
    minimumCount,
    passOne,
    passAll: passOne ** plan.coffees.length,
    approximate: plan.brewPairsPerCoffee * plan.replicates > 1,
  };
}
