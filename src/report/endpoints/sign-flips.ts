import type { Grid } from "../../statistics/decimals.ts";
import { type Alternative, signFlip } from "../../statistics/randomisation.ts";

/**
 * Exact sign-flip p of values that are multiples of 1/`denominator`. Where the exact scale is too
 * fine for the sum's distribution, the values are rounded to a coarser one, away from 0 and alike on
 * both sides: flipping a sign still flips the rounded value, so the test of the rounded values is
 * exact too. Null without values.
 */
export function signFlipPValue(
  values: readonly number[],
  denominator: number,
  alternative: Alternative = "two-sided",
): number | null {
  if (values.length === 0) return null;
  for (const scale of scalesFrom(denominator)) {
    const answer = signFlip(onScale(values, scale), alternative);
    if (answer.ok) return answer.pValue;
  }
  return null;
}

/** The finest scale tried: values stay whole numbers that a double holds. */
const FINEST = 1e6;
const COARSER = [1000, 100, 10, 1];

function scalesFrom(denominator: number): number[] {
  const exact = denominator <= FINEST ? [denominator] : [FINEST];
  return [...exact, ...COARSER.filter((scale) => scale < Math.min(denominator, FINEST))];
}

function onScale(values: readonly number[], scale: number): Grid {
  const units = values.map((value) => roundAwayFromZero(value * scale));
  return { units: units.map(BigInt), exponent: 0 };
}

/** Rounds alike on both sides of 0, so that swapping the treatments mirrors every result. */
export function roundAwayFromZero(value: number): number {
  return Math.sign(value) * Math.round(Math.abs(value));
}

/** Least common multiple of positive whole numbers; stops growing past what a scale can use. */
export function leastCommonMultiple(numbers: Iterable<number>): number {
  let multiple = 1;
  for (const number of numbers) {
    multiple = (multiple / greatestCommonDivisor(multiple, number)) * number;
    if (multiple > FINEST) return multiple;
  }
  return multiple;
}

function greatestCommonDivisor(a: number, b: number): number {
  return b === 0 ? a : greatestCommonDivisor(b, a % b);
}
