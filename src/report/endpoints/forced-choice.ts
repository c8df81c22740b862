import {
  proportionCorrectAt,
  proportionDistinguishing,
  proportionLeaning,
} from "../../statistics/discrimination.ts";
import { clopperPearson } from "../../statistics/intervals.ts";
import type { MethodName } from "../../statistics/methods/method.ts";
import { replicatedTest } from "../../statistics/replicated.ts";
import type { ReplicatedFinding } from "../endpoint-finding.ts";
import type { Estimate } from "../finding-parts.ts";
import type { Observation } from "../observations.ts";
import { anyoneRepeats, sum, tasterMeans } from "./taster-means.ts";

/** A forced choice with its chance of a right answer by guessing. */
export interface ForcedChoice {
  method: MethodName;
  guessing: number;
}

/** Whether picking other cups than the one asked about, more often than luck would, is a difference too. */
export const hasTwoSides = ({ method }: Pick<ForcedChoice, "method">) =>
  method === "paired-comparison" || method === "three-afc";

/** The share of people behind a proportion right, on a scale with two sides where the choice has them. */
export const shareOf = (choice: ForcedChoice, proportionCorrect: number) =>
  hasTwoSides(choice)
    ? proportionLeaning(proportionCorrect, choice.guessing)
    : proportionDistinguishing(proportionCorrect, choice.guessing);

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
    value: shareOf(choice, interval.estimate),
    lower: shareOf(choice, interval.lower),
    upper: shareOf(choice, interval.upper),
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
  const shares = result.proportionDistinguishing;
  const share = (pd: number) => shareOf(choice, proportionCorrectAt(pd, choice.guessing));
  return {
    tasters: tasters.length,
    proportion: result.betaBinomial.proportion,
    overdispersion: result.betaBinomial.overdispersion,
    overdispersionPValue: result.overdispersionTest.pValue,
    estimate: {
      value: share(shares.estimate),
      lower: share(shares.lower),
      upper: share(shares.upper),
      confidence: 1 - alpha,
    },
  };
}
