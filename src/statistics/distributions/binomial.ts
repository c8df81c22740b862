import { betaLowerTail, betaUpperTail } from "./beta.ts";
import { normalLowerQuantile } from "./normal.ts";
import { devianceFrom, stirlingCorrection } from "./stirling.ts";

/** Up to here binomial coefficients and their running products are exact in doubles. */
const EXACT_TRIALS = 50;
/** Relative slack of a tail that equals its target but for the rounding of decimal probabilities. */
const ROUNDING = 64 * Number.EPSILON;

/** P(X ≤ x) of n trials with success probability p; x whole. */
export function binomialLowerTail(x: number, n: number, p: number): number {
  if (x < 0) return 0;
  if (x >= n) return 1;
  if (n <= EXACT_TRIALS) return sumProbabilities(0, x, n, p);
  return betaUpperTail(p, x + 1, n - x);
}

/** P(X ≥ x), x itself included, computed directly. */
export function binomialUpperTail(x: number, n: number, p: number): number {
  if (x <= 0) return 1;
  if (x > n) return 0;
  if (n <= EXACT_TRIALS) return sumProbabilities(x, n, n, p);
  return betaLowerTail(p, x, n - x + 1);
}

/** P(X = x). */
export function binomialProbability(x: number, n: number, p: number): number {
  return Math.exp(binomialLogProbability(x, n, p));
}

/** ln P(X = x) by the saddle-point form, accurate for large n. Source: Loader (2000). */
function binomialLogProbability(x: number, n: number, p: number): number {
  if (x < 0 || x > n) return Number.NEGATIVE_INFINITY;
  if (p === 0 || p === 1) return x === n * p ? 0 : Number.NEGATIVE_INFINITY;
  if (x === 0) return n * Math.log1p(-p);
  if (x === n) return n * Math.log(p);
  const correction = stirlingCorrection(n) - stirlingCorrection(x) - stirlingCorrection(n - x);
  const deviance = devianceFrom(n * p, x) + devianceFrom(n * (1 - p), n - x);
  return correction - deviance + 0.5 * Math.log(n / (2 * Math.PI * x * (n - x)));
}

/** The smallest x with P(X ≤ x) ≥ p. */
export function binomialLowerQuantile(p: number, n: number, success: number): number {
  const guess = normalGuess(normalLowerQuantile(p), n, success);
  return firstCount(guess, n, (x) => binomialLowerTail(x, n, success) >= p * (1 - ROUNDING));
}

/** The smallest x with P(X > x) ≤ q. */
export function binomialUpperQuantile(q: number, n: number, success: number): number {
  const guess = normalGuess(-normalLowerQuantile(q), n, success);
  return firstCount(guess, n, (x) => binomialUpperTail(x + 1, n, success) <= q * (1 + ROUNDING));
}

/**
 * Sum over from..to, smallest terms first on either side. With dyadic p every term and sum is exact, so that a p
 * equal to alpha is seen as equal.
 */
function sumProbabilities(from: number, to: number, n: number, p: number): number {
  let coefficient = 1;
  const terms: number[] = [];
  for (let k = 0; k <= to; k += 1) {
    if (k >= from) terms.push(coefficient * p ** k * (1 - p) ** (n - k));
    coefficient = (coefficient * (n - k)) / (k + 1);
  }
  terms.sort((a, b) => a - b);
  return Math.min(
    1,
    terms.reduce((sum, term) => sum + term, 0),
  );
}

function normalGuess(z: number, n: number, success: number): number {
  const guess = Math.round(n * success + z * Math.sqrt(n * success * (1 - success)));
  return Math.min(n, Math.max(0, Number.isNaN(guess) ? 0 : guess));
}

/** The first count in 0..n at which a condition that stays true becomes true: gallop from a guess, then halve. */
function firstCount(guess: number, n: number, holds: (x: number) => boolean): number {
  let below = guess;
  let above = guess;
  for (let step = 1; above < n && !holds(above); step *= 2) {
    below = above;
    above = Math.min(n, above + step);
  }
  for (let step = 1; below >= 0 && holds(below); step *= 2) {
    above = below;
    below = Math.max(-1, below - step);
  }
  while (above - below > 1) {
    const middle = Math.floor((above + below) / 2);
    if (holds(middle)) above = middle;
    else below = middle;
  }
  return above;
}
