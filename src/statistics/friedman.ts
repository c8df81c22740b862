import { chiSquareUpperTail } from "./distributions.ts";
import { exactSpreadTail } from "./friedman-exact.ts";

export interface Friedman {
  /** Null, with the p-value, when every block is one tie. */
  statistic: number | null;
  df: number;
  /** Chi-square's. */
  pValue: number | null;
  /** Over all orders within blocks; null, too, where these are too many. */
  exactPValue: number | null;
  meanRanks: number[];
}

/**
 * Friedman's test over blocks of treatments, corrected for ties (Friedman 1937, JASA 32, 675;
 * Hollander & Wolfe 1973, p. 140). Null hypothesis: within a block all orders are equally likely.
 * p is chi-square's with treatments − 1 degrees of freedom, which is rough for few blocks; the exact
 * one stands beside it. At least two blocks and two treatments.
 */
export function friedman(blocks: readonly (readonly number[])[]): Friedman {
  const n = blocks.length;
  const k = blocks[0]?.length ?? 0;
  const doubled = blocks.map(doubledMidranks);
  const sums = Array.from({ length: k }, (_, treatment) =>
    doubled.reduce((sum, ranks) => sum + (ranks[treatment] ?? 0), 0),
  );
  const spread = sums.reduce((sum, rankSum) => sum + (rankSum - n * (k + 1)) ** 2, 0) / 4;
  // n·k·(k + 1)/12 less the ties' share, all times 12: whole numbers.
  const scale =
    n * k * (k + 1) - blocks.reduce((sum, block) => sum + tieExcess(block), 0) / (k - 1);
  const statistic = scale > 0 ? (12 * spread) / scale : null;
  return {
    statistic,
    df: k - 1,
    pValue: statistic === null ? null : chiSquareUpperTail(statistic, k - 1),
    exactPValue: statistic === null ? null : exactSpreadTail(doubled),
    meanRanks: sums.map((rankSum) => rankSum / (2 * n)),
  };
}

/** Twice the midrank: values below and one, and values at or below. */
function doubledMidranks(block: readonly number[]): number[] {
  return block.map((value) => {
    const below = block.filter((other) => other < value).length;
    const atOrBelow = block.filter((other) => other <= value).length;
    return below + 1 + atOrBelow;
  });
}

/** Σ(t³ − t) over groups of t equal values; each of the t values carries t² − 1 of it. */
function tieExcess(block: readonly number[]): number {
  return block.reduce((sum, value) => {
    const equal = block.filter((other) => other === value).length;
    return sum + equal * equal - 1;
  }, 0);
}
