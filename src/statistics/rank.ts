import { absolute, type Grid } from "./decimals.ts";
import { binomialLowerTail, binomialUpperTail } from "./distributions.ts";
import type { Alternative } from "./randomisation.ts";
import { type ExactProbability, subsetSumLowerTail } from "./subset-sum.ts";

/** Wilcoxon's signed rank: the sum of positive midranks over the n differences that are not zero. */
export interface SignedRank {
  statistic: number;
  n: number;
  probability: ExactProbability;
}

/** How many differences lean either way; zeros are left out. */
export interface SignTest {
  positive: number;
  negative: number;
  pValue: number;
}

/**
 * Wilcoxon signed rank test, exact over ties (Wilcoxon 1945, Biometrics Bulletin 1, 80). Null
 * hypothesis: the differences are symmetric about zero. Zeros leave, ties share midranks, and p is
 * over all 2^n assignments of signs to the midranks seen; two-sided is twice the smaller tail, at
 * most 1.
 */
export function signedRank(differences: Grid, alternative: Alternative = "two-sided"): SignedRank {
  const kept = differences.units.filter((unit) => unit !== 0n);
  const ranks = doubledMidranks(kept.map(absolute));
  const positive = sum(ranks.filter((_, i) => (kept[i] ?? 0n) > 0n));
  const negative = sum(ranks) - positive;
  return {
    statistic: Number(positive) / 2,
    n: kept.length,
    probability: tailOf(ranks, positive, negative, alternative),
  };
}

/**
 * Sign test, exact binomial (Arbuthnot 1710; Conover 1999, Practical Nonparametric Statistics, §3.4).
 * Null hypothesis: a difference that is not zero is as likely positive as negative. Two-sided is
 * twice the smaller tail, at most 1.
 */
export function signTest(differences: Grid, alternative: Alternative = "two-sided"): SignTest {
  const positive = differences.units.filter((unit) => unit > 0n).length;
  const negative = differences.units.filter((unit) => unit < 0n).length;
  const n = positive + negative;
  const greater = binomialUpperTail(positive, n, 0.5);
  const less = binomialLowerTail(positive, n, 0.5);
  const twoSided = Math.min(1, 2 * Math.min(greater, less));
  const pValue = { greater, less, "two-sided": twoSided }[alternative];
  return { positive, negative, pValue };
}

/** The tail P(rank sum ≥ seen) is, by symmetry, that of the rank sum of the other sign. */
function tailOf(
  ranks: readonly bigint[],
  positive: bigint,
  negative: bigint,
  alternative: Alternative,
): ExactProbability {
  if (alternative === "greater") return subsetSumLowerTail(ranks, negative);
  if (alternative === "less") return subsetSumLowerTail(ranks, positive);
  const smaller = subsetSumLowerTail(ranks, positive < negative ? positive : negative);
  return smaller.ok ? { ok: true, pValue: Math.min(1, 2 * smaller.pValue) } : smaller;
}

/** Twice the midrank of each size, so that shared ranks stay whole. */
function doubledMidranks(sizes: readonly bigint[]): bigint[] {
  const ascending = sizes.toSorted((a, b) => (a < b ? -1 : a > b ? 1 : 0));
  const first = new Map<bigint, number>();
  const last = new Map<bigint, number>();
  for (const [index, size] of ascending.entries()) {
    if (!first.has(size)) first.set(size, index + 1);
    last.set(size, index + 1);
  }
  return sizes.map((size) => BigInt((first.get(size) ?? 0) + (last.get(size) ?? 0)));
}

function sum(ranks: readonly bigint[]): bigint {
  return ranks.reduce((total, rank) => total + rank, 0n);
}
