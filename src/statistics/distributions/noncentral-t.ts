import { normalLogLowerTail } from "./normal.ts";
import { stirlingCorrection } from "./stirling.ts";

/** Integrand below its peak by more than this (in natural logarithms) can't reach the last digit. */
const NEGLIGIBLE = 45;
const FIRST_INTERVALS = 128;
const MOST_INTERVALS = 1 << 16;

/** P(T ≤ t) of the noncentral t with df > 0 and noncentrality ncp. */
export function noncentralTLowerTail(t: number, df: number, ncp: number): number {
  return tail((scale) => t * scale - ncp, df);
}

/** P(T > t) of the noncentral t, computed directly. */
export function noncentralTUpperTail(t: number, df: number, ncp: number): number {
  return tail((scale) => ncp - t * scale, df);
}

/**
 * T = (Z + ncp)/S with S = √(χ²/df), so the tail is the mean of Φ(t S − ncp) over S. With u = ln S the integrand is
 * analytic and dies off fast on both sides, where the trapezium rule converges geometrically (Trefethen &
 * Weideman 2014); all terms are positive, so that small tails keep their relative accuracy.
 */
function tail(argument: (scale: number) => number, df: number): number {
  const logIntegrand = (u: number): number =>
    (df / 2) * (2 * u - Math.expm1(2 * u)) + normalLogLowerTail(argument(Math.exp(u)));
  const peak = peakOf(logIntegrand);
  const top = logIntegrand(peak);
  if (top === Number.NEGATIVE_INFINITY) return 0;
  const [left, right] = [-1, 1].map((side) => edge(logIntegrand, peak, side));
  const area = trapezium((u) => Math.exp(logIntegrand(u) - top), left ?? peak, right ?? peak);
  // 2 (df/2)^(df/2) e^(−df/2)/Γ(df/2) by way of Stirling's correction.
  const constant = Math.sqrt(df / Math.PI) * Math.exp(-stirlingCorrection(df / 2));
  return Math.min(1, area * constant * Math.exp(top));
}

function peakOf(log: (u: number) => number): number {
  let best = 0;
  for (let u = -60; u <= 8; u += 0.5) if (log(u) > log(best)) best = u;
  for (let step = 0.25; step > 1e-4; step /= 2) {
    for (const u of [best - step, best + step]) if (log(u) > log(best)) best = u;
  }
  return best;
}

/** Where the integrand has become negligible on one side of its peak. */
function edge(log: (u: number) => number, peak: number, side: number): number {
  const floor = log(peak) - NEGLIGIBLE;
  let distance = 1e-3;
  while (log(peak + side * distance) > floor) distance *= 1.5;
  return peak + side * distance;
}

/** Trapezium rule, halving the step until the sum no longer changes. */
function trapezium(f: (u: number) => number, left: number, right: number): number {
  let intervals = FIRST_INTERVALS;
  let step = (right - left) / intervals;
  let sum = 0;
  for (let i = 0; i <= intervals; i += 1) sum += f(left + i * step);
  while (intervals < MOST_INTERVALS) {
    const previous = sum * step;
    for (let i = 0; i < intervals; i += 1) sum += f(left + (i + 0.5) * step);
    intervals *= 2;
    step /= 2;
    if (Math.abs(sum * step - previous) <= 1e-14 * sum * step) break;
  }
  return sum * step;
}
