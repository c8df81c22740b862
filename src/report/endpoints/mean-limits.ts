import { tLowerTail, tUpperQuantile } from "../../statistics/distributions.ts";
import { mean, sum } from "./taster-means.ts";

/** An upper limit of a mean over tasters, and the p against any bound. */
export interface UpperLimit {
  /** Infinite where the sample is so skewed that no bound would do. */
  limit: number;
  /** Of "the mean is at or above the bound". */
  pValue: (bound: number) => number;
}

/**
 * One-sided upper t limit at 1 − alpha of the mean over tasters, each weighing the same, with
 * Johnson's correction for skewness (1978, JASA 73, 536): a few tasters who can tell among many who
 * can't make a long tail upwards, which the plain t limit falls short of. Only a tail that way
 * counts, so the limit is never nearer than t's. Null with fewer than two tasters or when all means
 * are alike, which says nothing about spread. Approximate: means of a few right-or-wrong answers are
 * not normal.
 */
export function upperLimitOfMean(means: readonly number[], alpha: number): UpperLimit | null {
  const n = means.length;
  const centre = mean(means);
  const squares = sum(means.map((value) => (value - centre) ** 2));
  if (n < 2 || !(squares > 0)) return null;
  const standardError = Math.sqrt(squares / (n - 1) / n);
  const cubes = sum(means.map((value) => (value - centre) ** 3));
  const skewness = Math.max(0, cubes / n / (squares / n) ** 1.5);
  const shift = skewness / (6 * Math.sqrt(n));
  return {
    limit: centre + standardError * distanceTo(tUpperQuantile(alpha, n - 1), shift),
    pValue: (bound) => tLowerTail(corrected((bound - centre) / standardError, shift), n - 1),
  };
}

/**
 * Johnson's t of a bound `distance` standard errors above the mean: −d + a + 2a·d². It turns back at
 * d = 1/(4a); further bounds are taken as that one, so that p only falls.
 */
function corrected(distance: number, shift: number): number {
  const within = shift > 0 ? Math.min(distance, 1 / (4 * shift)) : distance;
  return -within + shift + 2 * shift * within ** 2;
}

/** The distance at which the corrected t reaches −t. */
function distanceTo(t: number, shift: number): number {
  if (shift === 0) return t;
  const discriminant = 1 - 8 * shift * (shift + t);
  return discriminant < 0 ? Infinity : (1 - Math.sqrt(discriminant)) / (4 * shift);
}
