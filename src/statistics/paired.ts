import type { Grid } from "./decimals.ts";
import { moments } from "./descriptive.ts";
import {
  noncentralTLowerTail,
  noncentralTUpperTail,
  tLowerTail,
  tUpperQuantile,
  tUpperTail,
} from "./distributions.ts";
import { type Alternative, signFlip } from "./randomisation.ts";
import { type SignedRank, type SignTest, signedRank, signTest } from "./rank.ts";
import type { ExactProbability } from "./subset-sum.ts";

/** The paired t test; every field is null when there are under two differences or all are alike. */
export interface PairedT {
  statistic: number | null;
  df: number | null;
  pValue: number | null;
  lower: number | null;
  upper: number | null;
}

export interface PairedScores {
  n: number;
  meanDifference: number;
  sdDifference: number | null;
  t: PairedT;
  signedRank: SignedRank;
  sign: SignTest;
  randomisation: ExactProbability;
}

/**
 * Everything asked of paired scores at once: size (mean difference with its t interval) and, for the
 * decision, the exact randomisation test with signed rank and sign test as companions.
 */
export function pairedScores(
  differences: Grid,
  alternative: Alternative = "two-sided",
  confidence = 0.95,
): PairedScores {
  const { n, mean, standardDeviation } = moments(differences);
  return {
    n,
    meanDifference: mean,
    sdDifference: standardDeviation,
    t: pairedT(differences, alternative, confidence),
    signedRank: signedRank(differences, alternative),
    sign: signTest(differences, alternative),
    randomisation: signFlip(differences, alternative),
  };
}

/**
 * Paired t test and two-sided interval at `confidence` ("Student" 1908, Biometrika 6, 1). Null
 * hypothesis: the mean difference is 0, differences being normal.
 */
export function pairedT(
  differences: Grid,
  alternative: Alternative = "two-sided",
  confidence = 0.95,
): PairedT {
  const { n, mean, standardDeviation } = moments(differences);
  if (!standardDeviation) {
    return { statistic: null, df: null, pValue: null, lower: null, upper: null };
  }
  const df = n - 1;
  const standardError = standardDeviation / Math.sqrt(n);
  const statistic = mean / standardError;
  const halfWidth = tUpperQuantile((1 - confidence) / 2, df) * standardError;
  return {
    statistic,
    df,
    pValue: tailsOfT(statistic, df, alternative),
    lower: mean - halfWidth,
    upper: mean + halfWidth,
  };
}

/** The smallest number of pairs that reaches the power, and the power it then has. */
export interface PairedSize {
  pairs: number;
  achievedPower: number;
}

/**
 * Pairs for a paired t test to find a true mean difference, from the noncentral t with both tails
 * (Cohen 1988, Statistical Power Analysis, ch. 2). Null beyond a million pairs.
 */
export function pairedSize(
  difference: number,
  sd: number,
  power: number,
  alpha = 0.05,
  sides: "one" | "two" = "two",
): PairedSize | null {
  const effect = Math.abs(difference) / sd;
  const powerOf = (pairs: number) => pairedPower(effect, pairs, alpha, sides);
  let enough = 2;
  while (powerOf(enough) < power) {
    if (enough >= MOST_PAIRS) return null;
    enough = Math.min(2 * enough, MOST_PAIRS);
  }
  let tooFew = Math.floor(enough / 2);
  while (enough - tooFew > 1) {
    const middle = Math.floor((tooFew + enough) / 2);
    if (middle >= 2 && powerOf(middle) >= power) enough = middle;
    else tooFew = middle;
  }
  return { pairs: enough, achievedPower: powerOf(enough) };
}

const MOST_PAIRS = 1_000_000;

/** P(reject) when the mean difference is `effect` standard deviations of the differences. */
export function pairedPower(
  effect: number,
  pairs: number,
  alpha: number,
  sides: "one" | "two",
): number {
  const df = pairs - 1;
  const shift = effect * Math.sqrt(pairs);
  const critical = tUpperQuantile(sides === "one" ? alpha : alpha / 2, df);
  const near = noncentralTUpperTail(critical, df, shift);
  return sides === "one" ? near : near + noncentralTLowerTail(-critical, df, shift);
}

function tailsOfT(statistic: number, df: number, alternative: Alternative): number {
  if (alternative === "greater") return tUpperTail(statistic, df);
  if (alternative === "less") return tLowerTail(statistic, df);
  return 2 * tUpperTail(Math.abs(statistic), df);
}
