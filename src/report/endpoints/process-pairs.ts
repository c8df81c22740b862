import { pairKey } from "../counted.ts";
import type { MeasuredProcess } from "../measured.ts";
import { groupBy, type Observation } from "../observations.ts";
import type { PairFinding } from "../process-claim.ts";
import { leastCommonMultiple, signFlipPValue } from "./sign-flips.ts";
import { mean } from "./taster-means.ts";

/** Mean value of each brew pair's answers, in the order of coffees and pairs. */
export function pairMeans(observations: readonly Observation[]): PairFinding[] {
  return [...groupBy(observations, pairKey).values()]
    .flatMap((own) => {
      const [first] = own;
      if (!first) return [];
      const value = mean(own.map((one) => one.value));
      const { coffeeId, pair, control } = first;
      return [{ coffeeId, pair, controlPair: control !== null, answers: own.length, value }];
    })
    .sort((a, b) => (a.coffeeId < b.coffeeId ? -1 : a.coffeeId > b.coffeeId ? 1 : a.pair - b.pair));
}

/**
 * Exact two-sided sign-flip over brew pairs, unweighted. Without an effect of the treatment a pair
 * is taken to lean either way alike, whatever its pots do by themselves.
 * `values` are signed, B less A, one a pair, as multiples of 1/`denominator`.
 */
export function signFlipOverPairs(
  pairList: PairFinding[],
  values: readonly number[],
  denominator: number,
  alpha: number,
): MeasuredProcess {
  const favouringB = values.filter((value) => value > 0).length;
  const favouringA = values.filter((value) => value < 0).length;
  const smallest = Math.min(1, 2 ** (1 - favouringA - favouringB));
  return {
    missing: values.length === 0 ? "no-data" : null,
    method: "sign-flip-over-brew-pairs",
    pairs: values.length,
    favouringA,
    favouringB,
    even: values.length - favouringA - favouringB,
    estimate: values.length === 0 ? null : mean(values),
    pValue: signFlipPValue(values, denominator),
    smallestPossiblePValue: values.length === 0 ? null : smallest,
    claimable: smallest <= alpha,
    pairsForAnyClaim: pairsForAnyClaim(alpha),
    pairList,
  };
}

/** Fewest brew pairs that, unanimous, reach alpha on both sides: 2^(1 − k) ≤ alpha; 6 at 5 %. */
export function pairsForAnyClaim(alpha: number): number {
  let pairs = 1;
  while (2 ** (1 - pairs) > alpha) pairs += 1;
  return pairs;
}

/** The scale on which the means of these pairs are whole. */
export function pairDenominator(pairs: readonly PairFinding[]): number {
  return leastCommonMultiple(pairs.map(({ answers }) => answers));
}
