import { absolute, type Grid } from "./decimals.ts";
import { type ExactProbability, subsetSumLowerTail } from "./subset-sum.ts";

export type Alternative = "two-sided" | "greater" | "less";

/**
 * Exact sign-flip randomisation test of the mean (Fisher 1935, The Design of Experiments, §21).
 * Null hypothesis: every difference was as likely to come out with the other sign. With S the sum
 * over all 2^n assignments of signs and s the sum seen, p is P(|S| ≥ |s|), P(S ≥ s) for `greater` or
 * P(S ≤ s) for `less`. Zeros stay: they add nothing to any sum.
 */
export function signFlip(
  differences: Grid,
  alternative: Alternative = "two-sided",
): ExactProbability {
  const seen = differences.units.reduce((sum, unit) => sum + unit, 0n);
  const sizes = differences.units.map(absolute).filter((size) => size > 0n);
  if (alternative === "greater") return upperTail(sizes, seen);
  if (alternative === "less") return upperTail(sizes, -seen);
  if (seen === 0n) return { ok: true, pValue: 1 };
  const oneSided = upperTail(sizes, absolute(seen));
  return oneSided.ok ? { ok: true, pValue: 2 * oneSided.pValue } : oneSided;
}

/** P(S ≥ s): flipping all signs turns it into P(2U − Σw ≤ −s), and s has the parity of Σw. */
function upperTail(sizes: readonly bigint[], seen: bigint): ExactProbability {
  const total = sizes.reduce((sum, size) => sum + size, 0n);
  return subsetSumLowerTail(sizes, (total - seen) / 2n);
}
