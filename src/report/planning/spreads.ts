import type { Endpoint } from "../../experiment/endpoint.ts";
import { brewPairs, type Plan } from "../../experiment/plan.ts";
import { levelOf } from "../level.ts";
import { USUAL_POWER } from "../what-would-decide.ts";
import { equivalencePower } from "./equivalence-power.ts";
import type { DifferenceOutlook, EndpointOutlook, SimilarityOutlook } from "./outlook.ts";
import { smallestPoints } from "./smallest-effect.ts";
import { spreadChance } from "./spread-chance.ts";

type Outlook = Pick<EndpointOutlook, "difference" | "similarity">;
type SpreadEndpoint = Extract<Endpoint, { kind: "attribute-score" | "extraction-yield" }>;

/** Scores: tasters are the unit, each with one mean difference; closeness on each coffee. */
export function scoresOutlook(endpoint: SpreadEndpoint, plan: Plan, sd: number): Outlook {
  const passOne = pass(endpoint, plan, plan.tasters, sd);
  return {
    difference: difference(endpoint, plan, plan.tasters, sd, [5, 10, 15, 20]),
    similarity: { ...withoutCounts, passOne, passAll: passOne ** plan.coffees.length },
  };
}

/** Extraction yield: brew pairs are the unit, over all coffees together. */
export function yieldOutlook(endpoint: SpreadEndpoint, plan: Plan, sd: number): Outlook {
  const pairs = brewPairs(plan);
  const passAll = pass(endpoint, plan, pairs, sd);
  return {
    difference: difference(endpoint, plan, pairs, sd, [0.25, 0.5, 0.75, 1]),
    similarity: { ...withoutCounts, passOne: passAll, passAll },
  };
}

const withoutCounts = {
  maximumCount: null,
  minimumCount: null,
  approximate: false,
} satisfies Partial<SimilarityOutlook>;

function pass(endpoint: SpreadEndpoint, plan: Plan, pairs: number, sd: number): number {
  return equivalencePower({ margin: endpoint.margin, sd, pairs, alpha: plan.alpha });
}

/** By the exact sign-flip's chance. */
function difference(
  endpoint: SpreadEndpoint,
  plan: Plan,
  pairs: number,
  sd: number,
  effects: readonly number[],
): DifferenceOutlook {
  const level = levelOf(endpoint, plan);
  const chance = (effect: number) => spreadChance(effect / sd, pairs, level);
  return {
    sides: "two",
    level,
    criticalCount: null,
    chances: effects.map((effect) => ({ effect, chance: chance(effect) })),
    chanceAtMargin: chance(endpoint.margin),
    smallestEffect: smallestPoints((effect) => chance(effect) >= USUAL_POWER, sd),
    assumedSd: sd,
  };
}
