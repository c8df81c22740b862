import { type Grid, onGrid } from "./decimals.ts";
import { fUpperTail } from "./distributions.ts";

/** One row of an analysis of variance; f and pValue are null when there is no error to compare with. */
export interface VarianceRow {
  f: number | null;
  df: number;
  errorDf: number;
  pValue: number | null;
  meanSquare: number;
}

export interface TwoWay {
  treatment: VarianceRow;
  block: VarianceRow;
  errorMeanSquare: number;
}

/**
 * Two-way analysis of variance without replication (randomised blocks; Fisher 1935, The Design of
 * Experiments, ch. IV): a row per block, a column per treatment, one value a cell. The error is
 * treatment × block, which is also the right error for a product tasted by every taster: enter each
 * taster's mean. At least two blocks and two treatments. Sums of squares are exact on the decimals as
 * written, so that constant leading digits (NIST StRD, SmLs07–09) cost nothing.
 */
export function twoWay(cells: Grid, treatments: number): TwoWay {
  const blocks = cells.units.length / treatments;
  const rows = sumsBy(cells.units, blocks, (index) => Math.floor(index / treatments));
  const columns = sumsBy(cells.units, treatments, (index) => index % treatments);
  const [b, t] = [BigInt(blocks), BigInt(treatments)];
  // Everything times the number of cells, to stay whole.
  const correction = rows.reduce(plus, 0n) ** 2n;
  const total = b * t * squares(cells.units) - correction;
  const between = t * squares(columns) - correction;
  const blocked = b * squares(rows) - correction;
  const meanSquare = (sum: bigint, df: number) =>
    onGrid(sum, b * t * BigInt(df), 2 * cells.exponent);
  const errorDf = (blocks - 1) * (treatments - 1);
  const errorMeanSquare = meanSquare(total - between - blocked, errorDf);
  const row = (sum: bigint, df: number) =>
    varianceRow(meanSquare(sum, df), df, errorMeanSquare, errorDf);
  return {
    treatment: row(between, treatments - 1),
    block: row(blocked, blocks - 1),
    errorMeanSquare,
  };
}

function varianceRow(
  meanSquare: number,
  df: number,
  errorMeanSquare: number,
  errorDf: number,
): VarianceRow {
  if (errorMeanSquare === 0) return { f: null, df, errorDf, pValue: null, meanSquare };
  const f = meanSquare / errorMeanSquare;
  return { f, df, errorDf, pValue: fUpperTail(f, df, errorDf), meanSquare };
}

function sumsBy(
  units: readonly bigint[],
  groups: number,
  groupOf: (index: number) => number,
): bigint[] {
  const sums = new Array<bigint>(groups).fill(0n);
  for (const [index, unit] of units.entries()) {
    const group = groupOf(index);
    sums[group] = (sums[group] ?? 0n) + unit;
  }
  return sums;
}

function squares(units: readonly bigint[]): bigint {
  return units.reduce((sum, unit) => sum + unit * unit, 0n);
}

function plus(a: bigint, b: bigint): bigint {
  return a + b;
}
