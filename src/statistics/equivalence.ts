import type { Grid } from "./decimals.ts";
import { moments } from "./descriptive.ts";
import { tLowerTail, tUpperQuantile, tUpperTail } from "./distributions.ts";

/** One of the two one-sided tests; null where the differences show no spread. */
export interface OneSidedTest {
  t: number | null;
  pValue: number | null;
}

export interface Equivalence {
  n: number;
  meanDifference: number;
  /** Against "the mean is at or under the lower margin". */
  lowerTest: OneSidedTest;
  /** Against "the mean is at or over the upper margin". */
  upperTest: OneSidedTest;
  /** The larger of the two. */
  pValue: number | null;
  /** At 1 − 2 alpha: it lies within the margins exactly when both tests reject. */
  interval: { estimate: number; lower: number | null; upper: number | null };
  equivalent: boolean;
}

export interface Margins {
  lower: number;
  upper: number;
  alpha?: number;
}

/**
 * Two one-sided t tests on paired differences (Schuirmann 1987, J. Pharmacokinet. Biopharm. 15, 657).
 * Null hypothesis: the mean difference lies on or outside the margins. With a brewer's label per
 * pair (two labels), the mean of the two groups' means is tested on their pooled spread, n − 2
 * degrees of freedom, as in a two-period crossover: a brewer's own difference then cancels.
 */
export function equivalence(
  differences: Grid,
  margins: Margins,
  brewerOrder?: readonly string[],
): Equivalence {
  const { lower, upper, alpha = 0.05 } = margins;
  const summary = brewerOrder ? brewerAdjusted(differences, brewerOrder) : plain(differences);
  const { estimate, df } = summary;
  const n = differences.units.length;
  const standardError = summary.standardError;
  if (!standardError) return undecided(n, estimate);
  const lowerT = (estimate - lower) / standardError;
  const upperT = (estimate - upper) / standardError;
  const lowerTest = { t: lowerT, pValue: tUpperTail(lowerT, df) };
  const upperTest = { t: upperT, pValue: tLowerTail(upperT, df) };
  const pValue = Math.max(lowerTest.pValue, upperTest.pValue);
  const halfWidth = tUpperQuantile(alpha, df) * standardError;
  const interval = { estimate, lower: estimate - halfWidth, upper: estimate + halfWidth };
  const equivalent = pValue <= alpha;
  return { n, meanDifference: estimate, lowerTest, upperTest, pValue, interval, equivalent };
}

interface Estimate {
  estimate: number;
  /** Null without spread. */
  standardError: number | null;
  df: number;
}

function plain(differences: Grid): Estimate {
  const { n, mean, standardDeviation } = moments(differences);
  const standardError = standardDeviation ? standardDeviation / Math.sqrt(n) : null;
  return { estimate: mean, standardError, df: n - 1 };
}

function brewerAdjusted(differences: Grid, brewerOrder: readonly string[]): Estimate {
  const groups = [...new Set(brewerOrder)].map((label) =>
    moments({
      units: differences.units.filter((_, i) => brewerOrder[i] === label),
      exponent: differences.exponent,
    }),
  );
  const df = differences.units.length - groups.length;
  const squares = groups.map(({ n, standardDeviation: sd }) => (n - 1) * (sd ?? 0) ** 2);
  const variance = squares.reduce((sum, square) => sum + square, 0) / df;
  const weight = groups.reduce((sum, { n }) => sum + 1 / n, 0);
  const estimate = groups.reduce((sum, { mean }) => sum + mean, 0) / groups.length;
  const standardError = Math.sqrt(variance * weight) / groups.length;
  return { estimate, standardError: standardError > 0 ? standardError : null, df };
}

function undecided(n: number, estimate: number): Equivalence {
  const none = { t: null, pValue: null };
  return {
    n,
    meanDifference: estimate,
    lowerTest: none,
    upperTest: none,
    pValue: null,
    interval: { estimate, lower: null, upper: null },
    equivalent: false,
  };
}
