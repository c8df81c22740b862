import {
  binomialPValue,
  criticalCount,
  lowerTail,
  maximumCount,
  reachesAlpha,
  type Sides,
  upperTail,
} from "./binomial.ts";
import { clopperPearson, exactLowerLimit, exactUpperLimit, type Interval } from "./intervals.ts";
import { duoTrio } from "./methods/duo-trio.ts";
import type { Method, MethodName } from "./methods/method.ts";
import { pairedComparison } from "./methods/paired-comparison.ts";
import { tetrad } from "./methods/tetrad.ts";
import { threeAfc } from "./methods/three-afc.ts";
import { triangle } from "./methods/triangle.ts";

/** Every forced-choice method by name. */
export const methods: Readonly<Record<MethodName, Method>> = {
  triangle,
  "duo-trio": duoTrio,
  tetrad,
  "paired-comparison": pairedComparison,
  "three-afc": threeAfc,
};

/** An estimate on the d′ scale; null where it has no finite value. */
export interface DPrimeInterval {
  estimate: number | null;
  lower: number | null;
  upper: number | null;
}

export interface DiscriminationInput {
  method: MethodName;
  /** `two` for paired comparison only. */
  sides?: Sides;
  assessments: number;
  correct: number;
  confidence?: number;
  alpha?: number;
}

export interface DiscriminationResult {
  guessing: number;
  pValue: number;
  criticalCount: number | null;
  significant: boolean;
  proportionCorrect: Interval;
  /** Raw, so possibly negative: clamp for showing, never before averaging. */
  proportionDistinguishing: Interval;
  dPrime: DPrimeInterval;
}

/**
 * Exact test of "nobody can tell" (every answer is a guess), with Clopper–Pearson intervals carried over from the
 * proportion correct to pd and d′. Source: ISO 4120, ISO 10399, ISO 5495.
 */
export function discriminationTest(input: DiscriminationInput): DiscriminationResult {
  const { method, sides = "one", assessments, correct, confidence = 0.95, alpha = 0.05 } = input;
  const { guessing } = methods[method];
  const pValue = binomialPValue(correct, assessments, guessing, sides);
  const proportionCorrect = clopperPearson(correct, assessments, confidence);
  return {
    guessing,
    pValue,
    criticalCount: criticalCount(assessments, guessing, alpha, sides),
    significant: reachesAlpha(pValue, alpha),
    proportionCorrect,
    proportionDistinguishing: transform(proportionCorrect, (pc) =>
      proportionDistinguishing(pc, guessing),
    ),
    dPrime: transform(proportionCorrect, (pc) => dPrimeOf(method, pc, sides)),
  };
}

/** pd = (pc − p0)/(1 − p0), the share who can tell if the rest guess; raw, negative below guessing. Abbott (1925). */
export function proportionDistinguishing(proportionCorrect: number, guessing: number): number {
  return (proportionCorrect - guessing) / (1 - guessing);
}

/** The proportion correct that a share of distinguishers makes: the inverse of {@link proportionDistinguishing}. */
export function proportionCorrectAt(proportionDistinguishing: number, guessing: number): number {
  return guessing + proportionDistinguishing * (1 - guessing);
}

/**
 * A share of people on a scale that has two sides: pd from guessing upwards, and below it the share who
 * always pick another cup, as a negative number from −1. For two cups this is 2 × proportion − 1.
 */
export function proportionLeaning(proportionCorrect: number, guessing: number): number {
  return proportionCorrect >= guessing
    ? proportionDistinguishing(proportionCorrect, guessing)
    : proportionCorrect / guessing - 1;
}

/**
 * The proportion that is left for the cup asked about when a share of people always picks another one:
 * where pd would lie below 0, these people are counted instead.
 */
export function proportionCorrectOtherWay(share: number, guessing: number): number {
  return guessing * (1 - share);
}

/**
 * d′ of a proportion correct: 0 at or under guessing, null where it has no finite value (pc = 1). A two-sided paired
 * comparison may lean either way, so there it is signed.
 */
export function dPrimeOf(
  method: MethodName,
  proportionCorrect: number,
  sides: Sides = "one",
): number | null {
  const { guessing, dPrime } = methods[method];
  if (proportionCorrect === guessing) return 0;
  if (proportionCorrect < guessing) {
    if (sides === "one") return 0;
    const mirrored = dPrimeOf(method, 1 - proportionCorrect);
    return mirrored === null ? null : -mirrored;
  }
  return proportionCorrect < 1 ? dPrime(proportionCorrect) : null;
}

export interface SimilarityInput {
  method: MethodName;
  assessments: number;
  correct: number;
  /** The largest proportion of distinguishers that does not matter, fixed before the data. */
  margin: number;
  alpha?: number;
  /** Whether picking the other cups more often than luck would is a difference too; so for pairs unless said otherwise. */
  bothWays?: boolean;
}

export interface SimilarityResult {
  pValue: number;
  /** One-sided 1 − alpha limits of pd, raw; the lower one, of a lean to the other cups, when looking both ways. */
  upperLimit: number;
  lowerLimit?: number;
  /** The counts that show similarity; null where none does. */
  maximumCount: number | null;
  minimumCount?: number | null;
  similar: boolean;
}

/**
 * Exact test of "at least `margin` can tell": small p shows similarity. A paired comparison looks both ways, and a
 * 3-AFC may, since a lean to the other side is a difference too. Source: ISO 4120:2004 8.2 and B.3, with exact tails.
 */
export function similarityTest(input: SimilarityInput): SimilarityResult {
  const { method, assessments: n, correct, margin, alpha = 0.05 } = input;
  const { bothWays = method === "paired-comparison" } = input;
  const { guessing } = methods[method];
  const atMargin = proportionCorrectAt(margin, guessing);
  const share = bothWays ? proportionLeaning : proportionDistinguishing;
  const upperLimit = share(exactUpperLimit(correct, n, alpha), guessing);
  const most = maximumCount(n, atMargin, alpha);
  const pBelow = lowerTail(correct, n, atMargin);
  if (!bothWays) {
    const similar = reachesAlpha(pBelow, alpha);
    return { pValue: pBelow, upperLimit, maximumCount: most, similar };
  }
  const atOther = proportionCorrectOtherWay(margin, guessing);
  const pValue = Math.max(pBelow, upperTail(correct, n, atOther));
  const least = criticalCount(n, atOther, alpha);
  const reachable = most !== null && least !== null && least <= most;
  return {
    pValue,
    upperLimit,
    lowerLimit: proportionLeaning(exactLowerLimit(correct, n, alpha), guessing),
    maximumCount: reachable ? most : null,
    minimumCount: reachable ? least : null,
    similar: reachesAlpha(pValue, alpha),
  };
}

function transform<T>(interval: Interval, scale: (value: number) => T) {
  return {
    estimate: scale(interval.estimate),
    lower: scale(interval.lower),
    upper: scale(interval.upper),
  };
}
