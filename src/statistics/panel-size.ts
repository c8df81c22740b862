import {
  criticalCount,
  lowerTail,
  maximumCount,
  reachesAlpha,
  type Sides,
  upperTail,
} from "./binomial.ts";
import { methods, proportionCorrectAt } from "./discrimination.ts";
import type { MethodName } from "./methods/method.ts";

/** How far sizes are searched. */
export const LARGEST_PANEL = 100_000;

export type Goal = "difference" | "similarity";

/** A size of difference, on either scale. */
export type Effect = { proportionDistinguishing: number } | { dPrime: number };

export interface Attained {
  /** Difference: fewest correct that are significant; similarity: most correct that show it; null where none do. */
  criticalCount: number | null;
  power: number;
  achievedAlpha: number;
}

interface PowerInput {
  method: MethodName;
  sides?: Sides;
  assessments: number;
  alpha?: number;
  effect: Effect;
}

/**
 * Exact power of a difference test. Two-sided, power counts the true tail only and the achieved alpha both.
 */
export function power(input: PowerInput): Attained {
  const { method, sides = "one", assessments, alpha = 0.05, effect } = input;
  const test = differenceTest(method, sides, alpha, effect);
  return attained(test, assessments, criticalCount(assessments, test.nullProportion, alpha, sides));
}

/**
 * Exact probability that a similarity test against a margin passes when the truth is `truth` (default: nobody can
 * tell). Achieved alpha is P(X ≤ maximum count) at the margin.
 */
export function similarityPower(
  input: Omit<PowerInput, "sides" | "effect"> & { margin: Effect; truth?: Effect },
): Attained {
  const { method, assessments, alpha = 0.05, margin, truth } = input;
  const test = similarityTestOf(method, alpha, margin, truth);
  const most = maximumCount(assessments, test.nullProportion, alpha);
  return attained(test, assessments, most);
}

export interface PanelSizeInput {
  method: MethodName;
  sides?: Sides;
  goal: Goal;
  alpha?: number;
  power: number;
  /** The difference to find, or for similarity the margin. */
  effect: Effect;
}

export interface PanelSize {
  /** The smallest number of assessments that reaches the power. */
  assessments: number;
  /** The smallest from which power never falls below again; null if there is none up to {@link LARGEST_PANEL}. */
  stableAssessments: number | null;
  criticalCount: number;
  achievedPower: number;
  achievedAlpha: number;
}

/**
 * The exact panel over the saw-tooth of binomial power, or null if none up to {@link LARGEST_PANEL} reaches it.
 * Every size is tried, up to one from which Hoeffding's inequality guarantees the power.
 */
export function panelSize(input: PanelSizeInput): PanelSize | null {
  const { method, sides = "one", goal, alpha = 0.05, effect } = input;
  const test =
    goal === "difference"
      ? differenceTest(method, sides, alpha, effect)
      : similarityTestOf(method, alpha, effect);
  const enough = Math.min(LARGEST_PANEL, guaranteedSize(test, alpha, input.power));
  let first: { assessments: number; count: number } | undefined;
  let lastShort = 0;
  let count = test.countAtZero;
  for (let n = 1; n <= enough; n += 1) {
    count = test.nextCount(n, count);
    if (!reachesPower(test.power(n, count), input.power)) lastShort = n;
    else first ??= { assessments: n, count };
  }
  if (first === undefined) return null;
  const found = attained(test, first.assessments, first.count);
  return {
    assessments: first.assessments,
    stableAssessments: lastShort < LARGEST_PANEL ? lastShort + 1 : null,
    criticalCount: first.count,
    achievedPower: found.power,
    achievedAlpha: found.achievedAlpha,
  };
}

/** A test seen as a count that moves with the number of assessments, by 0 or 1 a step. */
interface CountTest {
  nullProportion: number;
  trueProportion: number;
  /** The count before any assessment: one that no outcome reaches. */
  countAtZero: number;
  nextCount: (n: number, previous: number) => number;
  power: (n: number, count: number) => number;
  size: (n: number, count: number) => number;
}

function differenceTest(
  method: MethodName,
  sides: Sides,
  alpha: number,
  effect: Effect,
): CountTest {
  const { guessing } = methods[method];
  const trueProportion = proportionCorrectOf(method, effect);
  const factor = sides === "one" ? 1 : 2;
  return {
    nullProportion: guessing,
    trueProportion,
    countAtZero: 1,
    // One more assessment never lowers the critical count, and never raises it by more than one.
    nextCount: (n, previous) =>
      reachesAlpha(factor * upperTail(previous, n, guessing), alpha) ? previous : previous + 1,
    power: (n, count) => upperTail(count, n, trueProportion),
    size: (n, count) => Math.min(1, factor * upperTail(count, n, guessing)),
  };
}

function similarityTestOf(
  method: MethodName,
  alpha: number,
  margin: Effect,
  truth: Effect = { proportionDistinguishing: 0 },
): CountTest {
  const atMargin = proportionCorrectOf(method, margin);
  const trueProportion = proportionCorrectOf(method, truth);
  const bothWays = method === "paired-comparison";
  return {
    nullProportion: atMargin,
    trueProportion,
    countAtZero: -1,
    nextCount: (n, previous) =>
      reachesAlpha(lowerTail(previous + 1, n, atMargin), alpha) ? previous + 1 : previous,
    power: (n, count) =>
      bothWays ? within(n - count, count, n, trueProportion) : lowerTail(count, n, trueProportion),
    size: (n, count) => lowerTail(count, n, atMargin),
  };
}

function attained(test: CountTest, n: number, count: number | null): Attained {
  if (count === null) return { criticalCount: null, power: 0, achievedAlpha: 0 };
  return { criticalCount: count, power: test.power(n, count), achievedAlpha: test.size(n, count) };
}

/** P(from ≤ X ≤ to), as one less both tails: it is near 1 where it matters. */
function within(from: number, to: number, n: number, p: number): number {
  return from > to ? 0 : Math.max(0, 1 - lowerTail(from - 1, n, p) - upperTail(to + 1, n, p));
}

/**
 * From this size on the power holds whatever the saw-tooth does. With t = √(n ln(2/alpha)/2) the count lies within
 * t of the null mean, and the true count misses it with a probability under 2 exp(−2 (n δ − t)²/n) (Hoeffding 1963).
 */
function guaranteedSize(test: CountTest, alpha: number, target: number): number {
  const gap = Math.abs(test.trueProportion - test.nullProportion);
  const reach = Math.sqrt(Math.log(2 / alpha)) + Math.sqrt(Math.log(2 / (1 - target)));
  return Math.ceil((reach / gap) ** 2 / 2);
}

function reachesPower(value: number, target: number): boolean {
  return reachesAlpha(target, value);
}

/** The probability of a correct answer at an effect. */
function proportionCorrectOf(method: MethodName, effect: Effect): number {
  const { guessing, proportionCorrect } = methods[method];
  return "dPrime" in effect
    ? proportionCorrect(effect.dPrime)
    : proportionCorrectAt(effect.proportionDistinguishing, guessing);
}
