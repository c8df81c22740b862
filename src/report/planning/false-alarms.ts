import { type Endpoint, methodOf } from "../../experiment/endpoint.ts";
import { brewPairs, type Plan } from "../../experiment/plan.ts";
import { binomialPValue, criticalCount } from "../../statistics/binomial.ts";
import { methods } from "../../statistics/discrimination.ts";
import { binomialProbability, normalDensity } from "../../statistics/distributions.ts";
import { levelOf } from "../level.ts";
import type { FalseAlarmOutlook } from "./outlook.ts";
import { sidesOf } from "./picks.ts";

/**
 * How often a plan calls a difference where there is none: with identical cups by the exact test's
 * own size, and for pairs also when pots differ by themselves. Repeated pairs are decided over
 * tasters' sums: identical cups then differ at most as often as the level says, or never where even
 * tasters who all lean one way wouldn't reach it, and what pots add isn't computed.
 */
export function falseAlarms(endpoint: Endpoint, plan: Plan, potSdLogit: number): FalseAlarmOutlook {
  const level = levelOf(endpoint, plan);
  const answersPerPair = plan.tasters * plan.replicates;
  const answers = answersPerPair * brewPairs(plan);
  switch (endpoint.kind) {
    case "overall-difference":
    case "attribute-difference":
      return {
        whenIdentical: sizeOf(answers, methods[methodOf(endpoint)].guessing, level, "one"),
        whenPotsVary: null,
      };
    case "direction":
    case "preference": {
      const sides = sidesOf(endpoint);
      if (plan.replicates * brewPairs(plan) > 1) {
        const reachable = criticalCount(plan.tasters, 1 / 2, level, sides) !== null;
        return { whenIdentical: reachable ? level : 0, whenPotsVary: null };
      }
      return {
        whenIdentical: sizeOf(answers, 1 / 2, level, sides),
        whenPotsVary: varyingPots({
          answersPerPair,
          pairs: brewPairs(plan),
          potSdLogit,
          level,
          sides,
        }),
      };
    }
    case "attribute-score":
    case "extraction-yield":
      return { whenIdentical: level, whenPotsVary: null };
  }
}

/** What the test really uses of its level, counts being whole. */
function sizeOf(answers: number, guessing: number, level: number, sides: "one" | "two"): number {
  const critical = criticalCount(answers, guessing, level, sides);
  return critical === null ? 0 : binomialPValue(critical, answers, guessing, sides);
}

export interface VaryingPots {
  answersPerPair: number;
  pairs: number;
  potSdLogit: number;
  level: number;
  sides: "one" | "two";
}

/**
 * Chance that the pooled binomial test of picks rejects when each brew pair leans by itself, normal
 * on the logit scale with mean 0, and tasters are otherwise coins. Picks of one pair are a
 * logistic-normal mixture of binomials, their sum over pairs its convolution. For tasters who each
 * answer one pair, once. Null when no outcome can show a difference, or when it is too much work for a
 * planning page.
 */
export function varyingPots(plan: VaryingPots): FalseAlarmOutlook["whenPotsVary"] {
  const { answersPerPair, pairs, potSdLogit, level, sides } = plan;
  const answers = answersPerPair * pairs;
  if (answersPerPair * answers * pairs > MOST_WORK) return null;
  const critical = criticalCount(answers, 1 / 2, level, sides);
  if (critical === null) return null;
  const one = picksOfOnePair(answersPerPair, potSdLogit);
  let total = [1];
  for (let pair = 0; pair < pairs; pair += 1) total = convolve(total, one);
  const upper = total.slice(critical).reduce((sum, chance) => sum + chance, 0);
  // A lean is as likely to either side, so the lower tail is the upper one again.
  return { potSdLogit, rate: sides === "two" ? 2 * upper : upper };
}

const MOST_WORK = 1e8;
/** Enough for six digits: the integrand is smooth, and the trapezoid rule converges geometrically. */
const NODES = 161;
const REACH = 8;

function picksOfOnePair(answers: number, sd: number): number[] {
  const step = (2 * REACH) / (NODES - 1);
  const nodes = Array.from({ length: NODES }, (_, i) => i * step - REACH);
  return Array.from({ length: answers + 1 }, (_, picks) =>
    nodes.reduce((sum, z) => {
      const share = 1 / (1 + Math.exp(-sd * z));
      return sum + step * normalDensity(z) * binomialProbability(picks, answers, share);
    }, 0),
  );
}

function convolve(one: readonly number[], other: readonly number[]): number[] {
  const sum = new Array<number>(one.length + other.length - 1).fill(0);
  for (const [i, a] of one.entries()) {
    for (const [j, b] of other.entries()) sum[i + j] = (sum[i + j] ?? 0) + a * b;
  }
  return sum;
}
