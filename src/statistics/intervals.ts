import { betaLowerQuantile, betaUpperQuantile, normalUpperQuantile } from "./distributions.ts";

export interface Interval {
  estimate: number;
  lower: number;
  upper: number;
}

/**
 * Exact two-sided interval of a proportion. Covers at least its confidence; agrees with the two-sided exact test
 * (twice the smaller tail). Source: Clopper & Pearson (1934).
 */
export function clopperPearson(successes: number, trials: number, confidence = 0.95): Interval {
  const tail = (1 - confidence) / 2;
  return {
    estimate: successes / trials,
    lower: exactLowerLimit(successes, trials, tail),
    upper: exactUpperLimit(successes, trials, tail),
  };
}

/** The p below which P(X ≥ successes) ≤ alpha: exact one-sided lower limit at confidence 1 − alpha. */
export function exactLowerLimit(successes: number, trials: number, alpha: number): number {
  if (successes === 0) return 0;
  return betaLowerQuantile(alpha, successes, trials - successes + 1);
}

/** The p above which P(X ≤ successes) ≤ alpha: exact one-sided upper limit at confidence 1 − alpha. */
export function exactUpperLimit(successes: number, trials: number, alpha: number): number {
  if (successes === trials) return 1;
  return betaUpperQuantile(alpha, successes + 1, trials - successes);
}

/** Score interval of a proportion, approximate but well centred. Source: Wilson (1927). */
export function wilson(successes: number, trials: number, confidence = 0.95): Interval {
  const z = normalUpperQuantile((1 - confidence) / 2);
  const estimate = successes / trials;
  const shrink = 1 + (z * z) / trials;
  const centre = (estimate + (z * z) / (2 * trials)) / shrink;
  const variance = (estimate * (1 - estimate)) / trials + (z / (2 * trials)) ** 2;
  const half = (z * Math.sqrt(variance)) / shrink;
  return {
    estimate,
    // At 0 and n the formula's exact ends are 0 and 1; rounding must not spoil them.
    lower: successes === 0 ? 0 : centre - half,
    upper: successes === trials ? 1 : centre + half,
  };
}
