import {
  proportionCorrectAt,
  proportionDistinguishing,
  similarityTest,
} from "../../statistics/discrimination.ts";
import { clopperPearson } from "../../statistics/intervals.ts";
import { replicatedTest } from "../../statistics/replicated.ts";
import type { ReplicatedFinding } from "../endpoint-finding.ts";
import type { Estimate } from "../finding-parts.ts";
import type { MeasuredMargin } from "../measured.ts";
import type { Observation } from "../observations.ts";
import { anyoneRepeats, limitsOfMeans, sum, tasterMeans } from "./taster-means.ts";

/** The two forced choices that a plan serves. */
export interface ForcedChoice {
  method: "triangle" | "paired-comparison";
  guessing: number;
}

/** How many of the picks were right, or of B. */
export const picked = (observations: readonly Observation[]) =>
  sum(observations.map(({ value }) => value));

/**
 * pd with its interval at 1 − alpha: Clopper–Pearson where everyone answered once, the beta-binomial
 * over tasters where anyone answered again. Null without answers.
 */
export function estimatePd(
  choice: ForcedChoice,
  observations: readonly Observation[],
  alpha: number,
): Estimate | null {
  if (observations.length === 0) return null;
  const replicated = replicatedPd(choice, observations, alpha);
  if (replicated) return replicated.estimate;
  const interval = clopperPearson(picked(observations), observations.length, 1 - alpha);
  return {
    value: proportionDistinguishing(interval.estimate, choice.guessing),
    lower: proportionDistinguishing(interval.lower, choice.guessing),
    upper: proportionDistinguishing(interval.upper, choice.guessing),
    confidence: 1 - alpha,
  };
}

/**
 * The beta-binomial over tasters; null where nobody answered more than once, or where all answers
 * were alike and it has no spread to go by.
 */
export function replicatedPd(
  choice: ForcedChoice,
  observations: readonly Observation[],
  alpha: number,
): ReplicatedFinding | null {
  if (!anyoneRepeats(observations)) return null;
  const tasters = tasterMeans(observations).map(({ answers, value }) => ({
    correct: Math.round(answers * value),
    assessments: answers,
  }));
  const result = replicatedTest(choice.method, tasters, 1 - alpha);
  if (!(result.betaBinomial.standardError > 0)) return null;
  const { estimate, lower, upper } = result.proportionDistinguishing;
  return {
    tasters: tasters.length,
    proportion: result.betaBinomial.proportion,
    overdispersion: result.betaBinomial.overdispersion,
    overdispersionPValue: result.overdispersionTest.pValue,
    estimate: { value: estimate, lower, upper, confidence: 1 - alpha },
  };
}

/**
 * Closeness within one coffee. Exact where each taster answered once. Where tasters repeat, answers
 * of one taster are not independent: the limit is the further out of the exact one and the t limit
 * over tasters' means, and approximate.
 */
export function marginOfPicks(
  choice: ForcedChoice,
  observations: readonly Observation[],
  margin: number,
  alpha: number,
): MeasuredMargin {
  const approximate = anyoneRepeats(observations);
  const means = tasterMeans(observations).map(({ value }) => value);
  const method = approximate ? "taster-means" : "clopper-pearson";
  const frame = { method, approximate, margin } as const;
  if (observations.length === 0 || (approximate && means.length < 2)) {
    return { ...frame, pValue: null, lowerLimit: null, upperLimit: null };
  }
  const all = [exactLimits(choice, observations, margin, alpha)];
  if (approximate) all.push(...limitsOverTasters(choice, means, margin, alpha));
  const bothWays = choice.method === "paired-comparison";
  return {
    ...frame,
    pValue: Math.max(...all.map(({ pValue }) => pValue)),
    lowerLimit: bothWays ? Math.min(...all.map(({ lower }) => lower)) : null,
    upperLimit: Math.max(...all.map(({ upper }) => upper)),
  };
}

interface Limits {
  pValue: number;
  lower: number;
  upper: number;
}

function exactLimits(
  choice: ForcedChoice,
  observations: readonly Observation[],
  margin: number,
  alpha: number,
): Limits {
  const { pValue, upperLimit, lowerLimit } = similarityTest({
    method: choice.method,
    assessments: observations.length,
    correct: picked(observations),
    margin,
    alpha,
  });
  return { pValue, upper: upperLimit, lower: lowerLimit ?? upperLimit };
}

function limitsOverTasters(
  { method, guessing }: ForcedChoice,
  means: readonly number[],
  margin: number,
  alpha: number,
): Limits[] {
  const limits = limitsOfMeans(means, alpha);
  if (!limits) return [];
  const atMargin = proportionCorrectAt(margin, guessing);
  const below = limits.belowPValue(atMargin);
  const above = method === "paired-comparison" ? limits.abovePValue(1 - atMargin) : 0;
  return [
    {
      pValue: Math.max(below, above),
      lower: proportionDistinguishing(limits.lower, guessing),
      upper: proportionDistinguishing(limits.upper, guessing),
    },
  ];
}
