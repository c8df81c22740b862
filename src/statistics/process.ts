import { commonMultiple, quotient } from "./decimals.ts";
import { binomialLowerTail, binomialUpperTail } from "./distributions.ts";
import { countArrangements } from "./label-permutation.ts";
import { signFlip } from "./randomisation.ts";

/** One brew pair: how many of its assessments favoured treatment A. */
export interface BrewPair {
  favour: number;
  assessments: number;
}

/** One brew pair of a forced-choice test: how many of its assessments were correct. */
export interface TriedPair {
  coffee: string;
  correct: number;
  assessments: number;
}

export interface ProcessTest {
  ok: true;
  pairs: number;
  favouring: { a: number; b: number; even: number };
  pValue: number;
  /** What unanimous pairs would have given: 2^(1 − k) for k pairs that are not even. */
  smallestPossiblePValue: number;
  claimable: boolean;
  /** The other claim, that these cups differ: tasters counted, two-sided exact binomial. */
  cups: { assessments: number; favour: number; pValue: number };
}

export type Refused = { ok: false; refusal: string };

/**
 * Does the treatment matter? Exact two-sided sign-flip over brew pairs of each pair's share in favour
 * less ½, unweighted, in exact fractions. Null hypothesis: a pair is as likely to lean either way,
 * whatever its pots do by themselves; so it is conservative when brewers differ and were swapped.
 */
export function processTest(pairs: readonly BrewPair[], alpha = 0.05): ProcessTest | Refused {
  const multiple = commonMultiple(pairs.map((pair) => pair.assessments));
  const leans = pairs.map(
    (pair) => BigInt(2 * pair.favour - pair.assessments) * (multiple / BigInt(pair.assessments)),
  );
  const answer = signFlip({ units: leans, exponent: 0 });
  if (!answer.ok) return { ok: false, refusal: REFUSAL };
  const a = leans.filter((lean) => lean > 0n).length;
  const b = leans.filter((lean) => lean < 0n).length;
  const smallestPossiblePValue = Math.min(1, 2 ** (1 - a - b));
  return {
    ok: true,
    pairs: pairs.length,
    favouring: { a, b, even: pairs.length - a - b },
    pValue: answer.pValue,
    smallestPossiblePValue,
    claimable: smallestPossiblePValue <= alpha,
    cups: cupsClaim(pairs),
  };
}

const REFUSAL =
  "an exact test of so many pairs with so many different numbers of assessments is out of reach, " +
  "and none is guessed: give fewer pairs at a time, or equal numbers of assessments";

export interface ProcessContrast {
  ok: true;
  difference: number;
  pValue: number;
  /**
   * Share of the arrangements whose difference is the largest that these results allow: one over
   * their number, more where results tie, and 1 where all are alike.
   */
  smallestPossiblePValue: number;
  claimable: boolean;
}

/**
 * Do pots of two treatments differ more than two pots of one treatment? Mean proportion correct of
 * the test pairs less that of the control pairs, and P(difference ≥ the one seen) over all
 * arrangements of the labels within each coffee, in exact fractions. Null hypothesis: within a coffee
 * the labels could have fallen on any of its pairs. Source: Pitman (1937), J. R. Statist. Soc.
 * Suppl. 4, 119.
 */
export function processContrast(
  testPairs: readonly TriedPair[],
  controlPairs: readonly TriedPair[],
  alpha = 0.05,
): ProcessContrast | Refused {
  const all = [...testPairs, ...controlPairs];
  const multiple = commonMultiple(all.map((pair) => pair.assessments));
  const coffees = [...new Set(all.map((pair) => pair.coffee))].map((coffee) => ({
    test: proportions(testPairs, coffee, multiple),
    control: proportions(controlPairs, coffee, multiple),
  }));
  const counted = countArrangements(coffees);
  if (!counted.ok) return counted;
  const smallestPossiblePValue = quotient(counted.atLargest, counted.arrangements);
  return {
    ok: true,
    difference: difference(coffees, multiple),
    pValue: quotient(counted.asExtreme, counted.arrangements),
    smallestPossiblePValue,
    claimable: smallestPossiblePValue <= alpha,
  };
}

function cupsClaim(pairs: readonly BrewPair[]): ProcessTest["cups"] {
  const assessments = pairs.reduce((sum, pair) => sum + pair.assessments, 0);
  const favour = pairs.reduce((sum, pair) => sum + pair.favour, 0);
  const upper = binomialUpperTail(favour, assessments, 0.5);
  const lower = binomialLowerTail(favour, assessments, 0.5);
  return { assessments, favour, pValue: Math.min(1, 2 * Math.min(upper, lower)) };
}

/** The coffee's proportions correct, times the common multiple of all assessments. */
function proportions(pairs: readonly TriedPair[], coffee: string, multiple: bigint): bigint[] {
  return pairs
    .filter((pair) => pair.coffee === coffee)
    .map((pair) => BigInt(pair.correct) * (multiple / BigInt(pair.assessments)));
}

function difference(coffees: { test: bigint[]; control: bigint[] }[], multiple: bigint): number {
  const test = coffees.flatMap((coffee) => coffee.test);
  const control = coffees.flatMap((coffee) => coffee.control);
  const [tests, controls] = [BigInt(test.length), BigInt(control.length)];
  const numerator = sum(test) * controls - sum(control) * tests;
  return quotient(numerator, tests * controls * multiple);
}

function sum(values: readonly bigint[]): bigint {
  return values.reduce((total, value) => total + value, 0n);
}
