import { methodOf, type RightOrWrongEndpoint, type Treatment } from "../../experiment/endpoint.ts";
import { binomialPValue, criticalCount } from "../../statistics/binomial.ts";
import { methods, proportionLeaning } from "../../statistics/discrimination.ts";
import { processContrast } from "../../statistics/process.ts";
import type { Counts, Estimate } from "../finding-parts.ts";
import type { MeasuredProcess } from "../measured.ts";
import type { Observation } from "../observations.ts";
import type { PairFinding } from "../process-claim.ts";
import { estimatePd, type ForcedChoice, picked, replicatedPd } from "./forced-choice.ts";
import { homogeneityOfPicks } from "./homogeneity.ts";
import type { Measure } from "./measure.ts";
import { marginOfPicks } from "./pick-margin.ts";
import { pairMeans } from "./process-pairs.ts";

/**
 * Triangles, duo-trios, tetrads and 3-AFC. Null hypothesis of the difference: every answer is a guess;
 * then the number right is binomial whoever tasted, however often, so the pooled exact test stands over
 * coffees and repeats (Kunert & Meyners 1999). One-sided: nobody picks wrongly because they can tell
 * (ISO 4120), and a 3-AFC has its direction named beforehand.
 */
export function rightOrWrongMeasure(endpoint: RightOrWrongEndpoint): Measure {
  const method = methodOf(endpoint);
  const choice: ForcedChoice = { method, guessing: methods[method].guessing };
  const measure: Measure = {
    unit: "distinguishers",
    counts: countRight,
    estimate: (observations, alpha) => estimatePd(choice, observations, alpha),
    difference: (observations, level) => ({
      method: "exact-binomial",
      sides: "one",
      expected: null,
      pValue: pValueOf(choice, observations, "one"),
      criticalCount: criticalCount(observations.length, choice.guessing, level),
    }),
    twoSidedPValue: (observations) => pValueOf(choice, observations, "one"),
    margin: (observations, alpha) => marginOfPicks(choice, observations, endpoint.margin, alpha),
    process: contrastPairs,
    homogeneity: (observations) => homogeneityOfPicks(observations),
    replicated: (observations, alpha) => replicatedPd(choice, observations, alpha),
    companions: () => ({
      strictBinomialPValue: null,
      signedRankPValue: null,
      tPValue: null,
      standardDeviation: null,
    }),
    tasterValue: (share) => share,
  };
  return endpoint.kind === "attribute-difference"
    ? withDirection(measure, choice, endpoint.expected)
    : measure;
}

function countRight(observations: readonly Observation[]): Counts {
  return {
    tasters: new Set(observations.map(({ seatId }) => seatId)).size,
    answers: observations.length,
    correct: picked(observations),
    pickedA: null,
    pickedB: null,
  };
}

function pValueOf(
  { guessing }: ForcedChoice,
  observations: readonly Observation[],
  sides: "one" | "two",
): number | null {
  return observations.length === 0
    ? null
    : binomialPValue(picked(observations), observations.length, guessing, sides);
}

/**
 * A 3-AFC has a wrong direction too, people who find more in the other cups: sizes lie on a scale with
 * two sides, towards B above 0, and one that goes the other way can be told.
 */
function withDirection(measure: Measure, choice: ForcedChoice, expected: Treatment): Measure {
  const towardsB = <T extends { lower: number | null; upper: number | null }>(sizes: T): T =>
    expected === "B"
      ? sizes
      : { ...sizes, lower: negated(sizes.upper), upper: negated(sizes.lower) };
  const estimateTowardsB = (estimate: Estimate): Estimate => ({
    ...towardsB(estimate),
    value: expected === "B" ? estimate.value : -estimate.value,
  });
  return {
    ...measure,
    unit: "lean-of-three",
    estimate: (observations, alpha) => {
      const estimate = measure.estimate(observations, alpha);
      return estimate && estimateTowardsB(estimate);
    },
    difference: (observations, level) => ({
      ...measure.difference(observations, level),
      expected,
    }),
    twoSidedPValue: (observations) => pValueOf(choice, observations, "two"),
    margin: (observations, alpha) => {
      const { lowerLimit, upperLimit, ...margin } = measure.margin(observations, alpha);
      const limits = towardsB({ lower: lowerLimit, upper: upperLimit });
      return { ...margin, lowerLimit: limits.lower, upperLimit: limits.upper };
    },
    replicated: (observations, alpha) => {
      const replicated = measure.replicated(observations, alpha);
      return replicated && { ...replicated, estimate: estimateTowardsB(replicated.estimate) };
    },
    tasterValue: (share) => {
      const value = proportionLeaning(share, choice.guessing);
      return expected === "B" ? value : -value;
    },
  };
}

const negated = (value: number | null) => (value === null ? null : -value);

/** The process claim: pots of two treatments against pots of one, which differ by themselves too. */
function contrastPairs(
  tests: readonly Observation[],
  controls: readonly Observation[],
  alpha: number,
): MeasuredProcess {
  const testPairs = pairMeans(tests);
  const controlPairs = pairMeans(controls);
  const contrast =
    testPairs.length > 0 && controlPairs.length > 0
      ? processContrast(testPairs.map(triedPair), controlPairs.map(triedPair), alpha)
      : null;
  const result = contrast?.ok ? contrast : null;
  return {
    missing: testPairs.length === 0 ? "no-data" : result ? null : "no-control-pairs",
    method: "contrast-with-control-pairs",
    pairs: testPairs.length,
    favouringA: null,
    favouringB: null,
    even: null,
    estimate: result?.difference ?? null,
    pValue: result?.pValue ?? null,
    smallestPossiblePValue: result?.smallestPossiblePValue ?? null,
    claimable: result?.claimable ?? false,
    pairsForAnyClaim: testPairsForAnyClaim(testPairs, controlPairs, alpha),
    pairList: [...testPairs, ...controlPairs],
  };
}

function triedPair({ coffeeId, answers, value }: PairFinding) {
  return { coffee: coffeeId, correct: Math.round(answers * value), assessments: answers };
}

/**
 * Fewest test pairs over these coffees, beside as many control pairs a coffee as there are, whose
 * arrangements could reach alpha; null without control pairs.
 */
function testPairsForAnyClaim(
  tests: readonly PairFinding[],
  controls: readonly PairFinding[],
  alpha: number,
): number | null {
  const coffees = new Set(tests.map(({ coffeeId }) => coffeeId)).size;
  const controlsPerCoffee = Math.floor(controls.length / Math.max(1, coffees));
  return contrastPairsForAnyClaim(coffees, controlsPerCoffee, alpha);
}

/** The same for planning: test pairs over all coffees, given control pairs a coffee. */
export function contrastPairsForAnyClaim(
  coffees: number,
  controlsPerCoffee: number,
  alpha: number,
): number | null {
  if (controlsPerCoffee < 1 || coffees < 1) return null;
  let perCoffee = 1;
  while (smallestContrastPValue(coffees, perCoffee, controlsPerCoffee) > alpha) perCoffee += 1;
  return perCoffee * coffees;
}

/** One over the ways that the labels could have fallen within each coffee. */
export function smallestContrastPValue(
  coffees: number,
  testsPerCoffee: number,
  controlsPerCoffee: number,
): number {
  let ways = 1;
  for (let i = 1; i <= controlsPerCoffee; i += 1) ways = (ways * (testsPerCoffee + i)) / i;
  return ways ** -coffees;
}
