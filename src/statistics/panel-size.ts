import { criticalCount, lowerTail, maximumCount, type Sides, upperTail } from "./binomial.ts";
import {
  methods,
  proportionCorrectAt,
  proportionCorrectOtherWay,
  proportionDistinguishing,
} from "./discrimination.ts";
import type { MethodName } from "./methods/method.ts";
import { findPanel } from "./panel-search.ts";

/** How far sizes are searched. */
export const LARGEST_PANEL = 100_000;

export type Goal = "difference" | "similarity";

/** A size of difference, on either scale. */
export type Effect = { proportionDistinguishing: number } | { dPrime: number };

const NONE: Effect = { proportionDistinguishing: 0 };

export interface Attained {
  /** Difference: fewest correct that are significant; similarity: most correct that show it; null where none do. */
  criticalCount: number | null;
  power: number;
  achievedAlpha: number;
}

export interface PowerInput {
  method: MethodName;
  sides?: Sides;
  assessments: number;
  alpha?: number;
  effect: Effect;
}

/** Exact power of a difference test. Two-sided, power counts the true tail only and the achieved alpha both. */
export function power(input: PowerInput): Attained {
  const { method, sides = "one", assessments: n, alpha = 0.05, effect } = input;
  const { guessing } = methods[method];
  const count = criticalCount(n, guessing, alpha, sides);
  if (count === null) return { criticalCount: null, power: 0, achievedAlpha: 0 };
  return {
    criticalCount: count,
    power: upperTail(count, n, proportionCorrectOf(method, effect)),
    achievedAlpha: (sides === "one" ? 1 : 2) * upperTail(count, n, guessing),
  };
}

export interface SimilarityPowerInput {
  method: MethodName;
  assessments: number;
  alpha?: number;
  margin: Effect;
  /** How many can really tell; default nobody. */
  truth?: Effect;
  /** Whether a lean to the other cups must be within the margin too; so for pairs unless said otherwise. Takes a share as margin. */
  bothWays?: boolean;
}

/**
 * Exact probability that a similarity test passes. The achieved alpha is P(X ≤ maximum count) at the margin. Looking
 * both ways it passes only from a fewest count on.
 */
export function similarityPower(input: SimilarityPowerInput): Attained {
  const { method, assessments: n, alpha = 0.05, margin, truth = NONE } = input;
  const { bothWays = method === "paired-comparison" } = input;
  const atMargin = proportionCorrectOf(method, margin);
  const most = maximumCount(n, atMargin, alpha);
  const least = bothWays ? leastCount(method, n, atMargin, alpha) : 0;
  if (most === null || least === null || least > most)
    return { criticalCount: null, power: 0, achievedAlpha: 0 };
  const atTruth = proportionCorrectOf(method, truth);
  return {
    criticalCount: most,
    power: Math.max(0, lowerTail(most, n, atTruth) - lowerTail(least - 1, n, atTruth)),
    achievedAlpha: lowerTail(most, n, atMargin),
  };
}

/** The fewest correct that show no lean to the other cups as large as the margin; null where none do. */
function leastCount(method: MethodName, n: number, atMargin: number, alpha: number): number | null {
  const { guessing } = methods[method];
  const share = proportionDistinguishing(atMargin, guessing);
  return criticalCount(n, proportionCorrectOtherWay(share, guessing), alpha);
}

export interface PanelSizeInput {
  method: MethodName;
  sides?: Sides;
  goal: Goal;
  alpha?: number;
  power: number;
  /** The difference to find, or for similarity the margin; above 0. */
  effect: Effect;
  /** For similarity: whether a lean to the other cups must be within the margin too; so for pairs unless said otherwise. */
  bothWays?: boolean;
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

/** The exact panel over the saw-tooth of binomial power, or null if none up to {@link LARGEST_PANEL} reaches it. */
export function panelSize(input: PanelSizeInput): PanelSize | null {
  return input.goal === "difference" ? differencePanel(input) : similarityPanel(input);
}

function differencePanel(input: PanelSizeInput): PanelSize | null {
  const { method, sides = "one", alpha = 0.05, effect } = input;
  const found = findPanel(
    {
      nullHit: methods[method].guessing,
      trueHit: proportionCorrectOf(method, effect),
      alpha: sides === "one" ? alpha : alpha / 2,
      power: input.power,
    },
    LARGEST_PANEL,
  );
  if (found === null) return null;
  const { assessments, stableAssessments, count } = found;
  const attained = power({ method, sides, assessments, alpha, effect });
  return { assessments, stableAssessments, ...asPanel(attained, count) };
}

/** A similarity test counts incorrect answers as hits: many of them show that few can tell. */
function similarityPanel(input: PanelSizeInput): PanelSize | null {
  const { method, alpha = 0.05, effect: margin } = input;
  const { bothWays = method === "paired-comparison" } = input;
  if (bothWays && method !== "paired-comparison") return unevenPanel(input);
  // Looking both ways costs twice the tail beyond: P(n − m ≤ X ≤ m) = 2 P(X ≤ m) − 1 when nobody can tell.
  const found = closePanel(input, bothWays ? (1 + input.power) / 2 : input.power);
  if (found === null) return null;
  const { assessments, stableAssessments, count } = found;
  const attained = similarityPower({ method, assessments, alpha, margin, bothWays });
  return { assessments, stableAssessments, ...asPanel(attained, assessments - count) };
}

/** The panel that shows, with a power, that fewer than the margin pick the cup asked about. */
function closePanel({ method, alpha = 0.05, effect: margin }: PanelSizeInput, power: number) {
  const nullHit = 1 - proportionCorrectOf(method, margin);
  const trueHit = 1 - proportionCorrectOf(method, NONE);
  return findPanel({ nullHit, trueHit, alpha, power }, LARGEST_PANEL);
}

/**
 * Looking both ways where the two tails are unlike. From the larger of both sides' panels on, each
 * failing at most half as often as is allowed, the power is reached; the search goes down from there
 * on the exact power, over more than a period of its teeth.
 */
function unevenPanel(input: PanelSizeInput): PanelSize | null {
  const { method, alpha = 0.05, effect: margin } = input;
  const { guessing } = methods[method];
  const share = proportionDistinguishing(proportionCorrectOf(method, margin), guessing);
  const half = (1 + input.power) / 2;
  const nullHit = proportionCorrectOtherWay(share, guessing);
  const other = findPanel({ nullHit, trueHit: guessing, alpha, power: half }, LARGEST_PANEL);
  const safe = Math.max(
    closePanel(input, half)?.stableAssessments ?? Number.POSITIVE_INFINITY,
    other?.stableAssessments ?? Number.POSITIVE_INFINITY,
  );
  if (!Number.isFinite(safe)) return null;
  const at = (assessments: number) =>
    similarityPower({ method, assessments, alpha, margin, bothWays: true });
  const isEnough = (assessments: number) => at(assessments).power >= input.power;
  const { smallest, stable } = lowestEnough(safe, isEnough);
  const attained = at(smallest);
  return {
    assessments: smallest,
    stableAssessments: stable,
    ...asPanel(attained, attained.criticalCount ?? 0),
  };
}

/** The smallest number that is enough, and the one from which all up to `safe` are. */
function lowestEnough(safe: number, isEnough: (n: number) => boolean) {
  let [below, above] = [0, safe];
  while (above - below > 1) {
    const middle = Math.floor((below + above) / 2);
    if (isEnough(middle)) above = middle;
    else below = middle;
  }
  const reach = 50 + 3 * Math.ceil(Math.sqrt(safe));
  let [smallest, stable] = [above, Math.min(safe, above + reach)];
  let unbroken = true;
  for (let n = stable; n >= Math.max(1, above - reach); n -= 1) {
    if (isEnough(n)) smallest = n;
    else unbroken = false;
    if (unbroken) stable = n;
  }
  return { smallest, stable };
}

function asPanel(attained: Attained, criticalCount: number) {
  return {
    criticalCount,
    achievedPower: attained.power,
    achievedAlpha: attained.achievedAlpha,
  };
}

/** The probability of a correct answer at an effect. */
function proportionCorrectOf(method: MethodName, effect: Effect): number {
  const { guessing, proportionCorrect } = methods[method];
  return "dPrime" in effect
    ? proportionCorrect(effect.dPrime)
    : proportionCorrectAt(effect.proportionDistinguishing, guessing);
}
