import { proportionDistinguishing, similarityTest } from "../../statistics/discrimination.ts";
import type { MeasuredMargin } from "../measured.ts";
import type { Observation } from "../observations.ts";
import { type ForcedChoice, hasTwoSides, picked } from "./forced-choice.ts";
import { type UpperLimit, upperLimitOfMean } from "./mean-limits.ts";
import { anyoneRepeats, tasterMeans } from "./taster-means.ts";

/**
 * Closeness within one coffee. Exact where each taster answered once. Where tasters repeat, answers
 * of one taster are not independent, and the furthest of three limits holds: the exact one as if
 * they were, the t limit over tasters' means, and what a panel of so few people can exclude at all.
 */
export function marginOfPicks(
  choice: ForcedChoice,
  observations: readonly Observation[],
  margin: number,
  alpha: number,
): MeasuredMargin {
  const approximate = anyoneRepeats(observations);
  const method = approximate ? "taster-means" : "clopper-pearson";
  const frame = { method, approximate, margin } as const;
  if (observations.length === 0) {
    return { ...frame, pValue: null, lowerLimit: null, upperLimit: null };
  }
  const all = [exactLimits(choice, observations, margin, alpha)];
  if (approximate) all.push(...limitsOverTasters(choice, observations, margin, alpha));
  const bothWays = hasTwoSides(choice);
  return {
    ...frame,
    pValue: Math.max(...all.map(({ pValue }) => pValue)),
    lowerLimit: bothWays ? Math.max(-1, Math.min(...all.map(({ lower }) => lower))) : null,
    upperLimit: Math.min(1, Math.max(...all.map(({ upper }) => upper))),
  };
}

/** Limits of pd, or of the lean. */
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
    bothWays: hasTwoSides(choice),
  });
  return { pValue, upper: upperLimit, lower: lowerLimit ?? upperLimit };
}

function limitsOverTasters(
  choice: ForcedChoice,
  observations: readonly Observation[],
  margin: number,
  alpha: number,
): Limits[] {
  const means = tasterMeans(observations).map(({ value }) => value);
  const { guessing } = choice;
  const pds = means.map((mean) => proportionDistinguishing(mean, guessing));
  const up = upperLimitOfMean(pds, alpha);
  // The share that picks other cups, on a scale of its own below guessing.
  const down = upperLimitOfMean(
    means.map((mean) => 1 - mean / guessing),
    alpha,
  );
  const few = fewTasters(pds.length, margin, alpha);
  if (!up || !down) return [few];
  return [hasTwoSides(choice) ? bothWays(up, down, margin) : upwards(up, margin), few];
}

function upwards({ limit, pValue }: UpperLimit, margin: number): Limits {
  return { pValue: pValue(margin), upper: limit, lower: limit };
}

function bothWays(up: UpperLimit, down: UpperLimit, margin: number): Limits {
  const pValue = Math.max(up.pValue(margin), down.pValue(margin));
  return { pValue, upper: up.limit, lower: -down.limit };
}

/**
 * What so few people can exclude, however often each answers: if a share m of all people always told
 * the cups apart, a panel of n would hold none of them with chance (1 − m)^n.
 */
function fewTasters(tasters: number, margin: number, alpha: number): Limits {
  const limit = 1 - alpha ** (1 / tasters);
  return { pValue: (1 - margin) ** tasters, upper: limit, lower: -limit };
}
