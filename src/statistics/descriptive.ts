import { type Grid, gridValues, onGrid } from "./decimals.ts";

/** Size, centre and spread of a sample; the standard deviation (n − 1) is null for one value. */
export interface Moments {
  n: number;
  mean: number;
  standardDeviation: number | null;
}

export interface Description extends Moments {
  median: number;
  lowerQuartile: number;
  upperQuartile: number;
  minimum: number;
  maximum: number;
}

/**
 * Mean and standard deviation from exact sums of the decimals as written, rounded once at the end.
 * Neither the one-pass nor the two-pass formula in doubles survives data such as 10000000.2 ± 0.1
 * (NIST StRD, NumAcc4).
 */
export function moments(sample: Grid): Moments {
  const n = sample.units.length;
  const sum = sample.units.reduce((total, unit) => total + unit, 0n);
  return {
    n,
    mean: onGrid(sum, BigInt(n), sample.exponent),
    standardDeviation: n > 1 ? Math.sqrt(exactVariance(sample.units, sample.exponent)) : null,
  };
}

/** Five numbers, mean and standard deviation of a sample of at least one value. */
export function describe(sample: Grid): Description {
  const ascending = gridValues(sample).toSorted((a, b) => a - b);
  return {
    ...moments(sample),
    median: quantile(ascending, 0.5),
    lowerQuartile: quantile(ascending, 0.25),
    upperQuartile: quantile(ascending, 0.75),
    minimum: ascending.at(0) ?? Number.NaN,
    maximum: ascending.at(-1) ?? Number.NaN,
  };
}

/** Σ(x − x̄)²/(n − 1) = (nΣx² − (Σx)²)/(n(n − 1)), which in exact integers cancels nothing away. */
function exactVariance(units: readonly bigint[], exponent: number): number {
  const n = BigInt(units.length);
  let [sum, squares] = [0n, 0n];
  for (const unit of units) {
    sum += unit;
    squares += unit * unit;
  }
  return onGrid(n * squares - sum * sum, n * (n - 1n), 2 * exponent);
}

/** Type 7 of Hyndman & Fan (1996), The American Statistician 50, 361: linear between order statistics. */
function quantile(ascending: readonly number[], probability: number): number {
  const position = (ascending.length - 1) * probability;
  const below = Math.floor(position);
  const lower = ascending[below] ?? Number.NaN;
  const upper = ascending[below + 1] ?? lower;
  return lower + (position - below) * (upper - lower);
}
