import erfc from "@stdlib/math-base-special-erfc";
import jstat from "jstat";
import { rootOfIncreasing } from "./inversion.ts";

const HALF_LOG_TWO_PI = 0.5 * Math.log(2 * Math.PI);
/** Below this the lower tail leaves the range of doubles and only its logarithm is left. */
const ASYMPTOTIC_FROM = -25;

/** P(Z ≤ z) of the standard normal. */
export function normalLowerTail(z: number): number {
  return erfc(-z / Math.SQRT2) / 2;
}

/** P(Z > z) of the standard normal, computed directly. */
export function normalUpperTail(z: number): number {
  return erfc(z / Math.SQRT2) / 2;
}

/** Density of the standard normal: jstat's, whose densities are accurate where its tails are not. */
export function normalDensity(z: number): number {
  return jstat.jStat.normal.pdf(z, 0, 1);
}

/** ln P(Z ≤ z), finite for every finite z (asymptotic series 26.2.12 of Abramowitz & Stegun far out). */
export function normalLogLowerTail(z: number): number {
  if (z > 0) return Math.log1p(-normalUpperTail(z));
  if (z > ASYMPTOTIC_FROM) return Math.log(normalLowerTail(z));
  const w = 1 / (z * z);
  const series = w * (-1 + w * (3 + w * (-15 + w * (105 - 945 * w))));
  return -0.5 * z * z - HALF_LOG_TWO_PI - Math.log(-z) + Math.log1p(series);
}

/** The z with P(Z ≤ z) = p; ∓Infinity at 0 and 1, NaN outside. */
export function normalLowerQuantile(p: number): number {
  if (!(p >= 0 && p <= 1)) return Number.NaN;
  if (p > 0.5) return -normalLowerQuantile(1 - p);
  if (p === 0) return Number.NEGATIVE_INFINITY;
  // Φ(−z) ≤ exp(−z²/2)/2 bounds the root from the left; from there Newton on the concave ln Φ is monotone.
  const bound = -Math.sqrt(-2 * Math.log(2 * p));
  const target = Math.log(p);
  return rootOfIncreasing(
    (z) => {
      const log = normalLogLowerTail(z);
      return { value: log - target, derivative: Math.exp(-0.5 * z * z - HALF_LOG_TWO_PI - log) };
    },
    { lower: bound - 1, upper: 1, start: bound },
  );
}

/** The z with P(Z > z) = q. */
export function normalUpperQuantile(q: number): number {
  return -normalLowerQuantile(q);
}
