import type { Endpoint } from "../../experiment/endpoint.ts";
import { gridOf } from "../../statistics/decimals.ts";
import { moments } from "../../statistics/descriptive.ts";
import { equivalence } from "../../statistics/equivalence.ts";
import { pairedT } from "../../statistics/paired.ts";
import { signedRank } from "../../statistics/rank.ts";
import type { YieldPair } from "../brew-yields.ts";
import type { Companions } from "../endpoint-finding.ts";
import type { Counts, Estimate } from "../finding-parts.ts";
import type { Measured, MeasuredMargin, MeasuredProcess } from "../measured.ts";
import type { PairFinding } from "../process-claim.ts";
import { signFlipOverPairs } from "./process-pairs.ts";
import { roundAwayFromZero, signFlipPValue } from "./sign-flips.ts";

type YieldEndpoint = Extract<Endpoint, { kind: "extraction-yield" }>;

/** Yields are compared on a grid of thousandths of a point, far below what a reading resolves. */
const GRID = 1000;

/**
 * Extraction yield over brew pairs, B less A in percentage points. Null hypothesis of the difference:
 * a pair leans either way alike (exact sign-flip). Size and closeness come from t on the pairs,
 * adjusted for the brewer where two brewers made each treatment: two one-sided tests against the
 * margin.
 */
export function measureYield(
  endpoint: YieldEndpoint,
  pairs: readonly YieldPair[],
  alpha: number,
): Measured {
  const values = pairs.map(({ value }) => value);
  return {
    counts: countsOf(pairs),
    estimate: estimateOf(pairs, alpha),
    difference: {
      method: "sign-flip-over-brew-pairs",
      sides: "two",
      expected: null,
      pValue: signFlipPValue(values, GRID),
      criticalCount: null,
    },
    margin: marginOf(pairs, endpoint.margin, alpha),
  };
}

export function yieldProcess(pairs: readonly YieldPair[], alpha: number): MeasuredProcess {
  const pairList: PairFinding[] = pairs.map(({ coffeeId, pair, value }) => ({
    coffeeId,
    pair,
    controlPair: false,
    answers: 1,
    value,
  }));
  return signFlipOverPairs(
    pairList,
    pairs.map(({ value }) => value),
    GRID,
    alpha,
  );
}

export function yieldCompanions(pairs: readonly YieldPair[]): Companions {
  if (pairs.length === 0) {
    return {
      strictBinomialPValue: null,
      signedRankPValue: null,
      tPValue: null,
      standardDeviation: null,
    };
  }
  const grid = onGrid(pairs);
  const ranked = signedRank(grid).probability;
  return {
    strictBinomialPValue: null,
    signedRankPValue: ranked.ok ? ranked.pValue : null,
    tPValue: pairedT(grid).pValue,
    standardDeviation: moments(grid).standardDeviation,
  };
}

function countsOf(pairs: readonly YieldPair[]): Counts {
  return { tasters: 0, answers: pairs.length, correct: null, pickedA: null, pickedB: null };
}

/** Half of alpha on either side makes the two-sided interval at 1 − alpha. */
function estimateOf(pairs: readonly YieldPair[], alpha: number): Estimate | null {
  if (pairs.length === 0) return null;
  const margins = { lower: -1, upper: 1, alpha: alpha / 2 };
  const { interval } = equivalence(onGrid(pairs), margins, brewerOrder(pairs));
  const { estimate: value, lower, upper } = interval;
  return { value, lower, upper, confidence: 1 - alpha };
}

function marginOf(pairs: readonly YieldPair[], margin: number, alpha: number): MeasuredMargin {
  const frame = { method: "two-one-sided-t", approximate: false, margin } as const;
  if (pairs.length < 2) return { ...frame, pValue: null, lowerLimit: null, upperLimit: null };
  const margins = { lower: -margin, upper: margin, alpha };
  const { pValue, interval } = equivalence(onGrid(pairs), margins, brewerOrder(pairs));
  return { ...frame, pValue, lowerLimit: interval.lower, upperLimit: interval.upper };
}

/** Who brewed A, pair by pair, where just two brewers shared the pairs and swapped. */
function brewerOrder(pairs: readonly YieldPair[]): string[] | undefined {
  const orders = pairs.map(({ brewerOfA }) => brewerOfA);
  const brewers = new Set(pairs.flatMap(({ brewerOfA, brewerOfB }) => [brewerOfA, brewerOfB]));
  const crossed = pairs.every(({ brewerOfA, brewerOfB }) => brewerOfA !== brewerOfB);
  const swapped = brewers.size === 2 && new Set(orders).size === 2 && crossed;
  return swapped && pairs.length > 2 ? orders : undefined;
}

function onGrid(pairs: readonly YieldPair[]) {
  return gridOf(pairs.map(({ value }) => roundAwayFromZero(value * GRID) / GRID));
}
