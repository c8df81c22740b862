import { binomialLowerTail, binomialUpperTail } from "./distributions.ts";

export type Sides = "one" | "two";

/** Relative slack in "p ≤ alpha", the rounding of a tail: an alpha met exactly must not be missed for its last bits. */
const ROUNDING = 1e-12;

/** P(X ≥ x) of n answers, each correct with probability p. */
export function upperTail(x: number, n: number, p: number): number {
  return binomialUpperTail(x, n, p);
}

/** P(X ≤ x) of n answers, each correct with probability p. */
export function lowerTail(x: number, n: number, p: number): number {
  return binomialLowerTail(x, n, p);
}

/** Exact p of x correct against guessing; two-sided is twice the smaller tail, at most 1. */
export function binomialPValue(x: number, n: number, guessing: number, sides: Sides): number {
  const upper = upperTail(x, n, guessing);
  return sides === "one" ? upper : Math.min(1, 2 * Math.min(upper, lowerTail(x, n, guessing)));
}

/** Whether a p-value reaches alpha: p ≤ alpha, but for rounding in the last digits. */
export function reachesAlpha(p: number, alpha: number): boolean {
  return p <= alpha * (1 + ROUNDING);
}

/**
 * The fewest correct of n with p ≤ alpha on the upper side; null where no outcome is significant. Two-sided, the
 * lower critical count is n less it.
 */
export function criticalCount(
  n: number,
  guessing: number,
  alpha: number,
  sides: Sides = "one",
): number | null {
  const tail = sides === "one" ? alpha : alpha / 2;
  const count = firstCount(n, (x) => reachesAlpha(upperTail(x, n, guessing), tail));
  return count > n ? null : count;
}

/** The critical counts of from..to assessments: each next one is the last or one more. */
export function criticalCounts(
  from: number,
  to: number,
  guessing: number,
  alpha: number,
  sides: Sides = "one",
): { assessments: number; criticalCount: number | null }[] {
  const tail = sides === "one" ? alpha : alpha / 2;
  let count = criticalCount(from, guessing, alpha, sides) ?? from + 1;
  return Array.from({ length: to - from + 1 }, (_, i) => {
    const n = from + i;
    if (!reachesAlpha(upperTail(count, n, guessing), tail)) count += 1;
    return { assessments: n, criticalCount: count > n ? null : count };
  });
}

/** The most correct of n with P(X ≤ x) ≤ alpha at a probability p; null where even 0 has more. */
export function maximumCount(n: number, p: number, alpha: number): number | null {
  const count = firstCount(n, (x) => !reachesAlpha(lowerTail(x, n, p), alpha)) - 1;
  return count < 0 ? null : count;
}

/** The first count of 0..n, or n + 1, at which a condition that stays true becomes true. */
function firstCount(n: number, holds: (x: number) => boolean): number {
  let below = -1;
  let above = n + 1;
  while (above - below > 1) {
    const middle = Math.floor((above + below) / 2);
    if (holds(middle)) above = middle;
    else below = middle;
  }
  return above;
}
