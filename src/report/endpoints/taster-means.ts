import { tLowerTail, tUpperQuantile, tUpperTail } from "../../statistics/distributions.ts";
import { groupBy, type Observation } from "../observations.ts";

/** Someone answered more than once, so that answers and tasters are not the same number. */
export function anyoneRepeats(observations: readonly Observation[]): boolean {
  return new Set(observations.map(({ seatId }) => seatId)).size < observations.length;
}

/** Each taster's mean value, with the number of answers behind it. */
export function tasterMeans(observations: readonly Observation[]) {
  return [...groupBy(observations, ({ seatId }) => seatId)].map(([seatId, own]) => ({
    seatId,
    answers: own.length,
    value: mean(own.map(({ value }) => value)),
  }));
}

/** Limits of a mean over tasters, and the p of each side against a bound. */
export interface MeanLimits {
  lower: number;
  upper: number;
  /** That the mean is at or above the bound. */
  belowPValue: (bound: number) => number;
  /** That the mean is at or below the bound. */
  abovePValue: (bound: number) => number;
}

/**
 * One-sided t limits at 1 − alpha of the mean over tasters, each weighing the same. Approximate:
 * means of a few right-or-wrong answers are not normal. Null with fewer than two tasters or when all
 * their means are alike, which says nothing about spread.
 */
export function limitsOfMeans(means: readonly number[], alpha: number): MeanLimits | null {
  const standardError = Math.sqrt(variance(means) / means.length);
  if (!(standardError > 0)) return null;
  const centre = mean(means);
  const df = means.length - 1;
  const half = tUpperQuantile(alpha, df) * standardError;
  return {
    lower: centre - half,
    upper: centre + half,
    belowPValue: (bound) => tLowerTail((centre - bound) / standardError, df),
    abovePValue: (bound) => tUpperTail((centre - bound) / standardError, df),
  };
}

export function mean(values: readonly number[]): number {
  return sum(values) / values.length;
}

export function sum(values: readonly number[]): number {
  return values.reduce((total, value) => total + value, 0);
}

function variance(values: readonly number[]): number {
  const centre = mean(values);
  return sum(values.map((value) => (value - centre) ** 2)) / (values.length - 1);
}
