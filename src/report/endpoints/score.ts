import type { Endpoint } from "../../experiment/endpoint.ts";
import { gridOf } from "../../statistics/decimals.ts";
import { moments } from "../../statistics/descriptive.ts";
import { equivalence } from "../../statistics/equivalence.ts";
import { pairedT } from "../../statistics/paired.ts";
import { signedRank } from "../../statistics/rank.ts";
import type { Companions } from "../endpoint-finding.ts";
import type { Estimate } from "../finding-parts.ts";
import type { MeasuredMargin, MeasuredProcess } from "../measured.ts";
import { groupBy, type Observation } from "../observations.ts";
import { homogeneityOfScores } from "./homogeneity.ts";
import type { Measure } from "./measure.ts";
import { pairDenominator, pairMeans, signFlipOverPairs } from "./process-pairs.ts";
import { leastCommonMultiple, signFlipPValue } from "./sign-flips.ts";
import { mean, tasterMeans } from "./taster-means.ts";

/**
 * Attribute scores, B less A in points. Each taster counts once: the difference per coffee, averaged
 * over coffees. Null hypothesis of the difference: a taster's mean was as likely to come out with
 * the other sign (exact sign-flip); the paired t interval gives the size.
 */
export function scoreMeasure(endpoint: Extract<Endpoint, { kind: "attribute-score" }>): Measure {
  const pValue = (observations: readonly Observation[]) => {
    const tasters = tasterDifferences(observations);
    return signFlipPValue(
      tasters.map(({ value }) => value),
      leastCommonMultiple(tasters.map(({ denominator }) => denominator)),
    );
  };
  return {
    unit: "scale-points",
    counts: (observations) => ({
      tasters: new Set(observations.map(({ seatId }) => seatId)).size,
      answers: observations.length,
      correct: null,
      pickedA: null,
      pickedB: null,
    }),
    estimate: meanDifference,
    difference: (observations) => ({
      method: "sign-flip-over-tasters",
      sides: "two",
      expected: null,
      pValue: pValue(observations),
      criticalCount: null,
    }),
    twoSidedPValue: pValue,
    margin: (observations, alpha) => marginOfScores(observations, endpoint.margin, alpha),
    process: (tests, _controls, alpha) => differencesOfPairs(tests, alpha),
    homogeneity: homogeneityOfScores,
    replicated: () => null,
    companions: companionsOf,
    tasterValue: (difference) => difference,
  };
}

interface TasterDifference {
  value: number;
  /** The value is a whole multiple of one over this. */
  denominator: number;
}

/** Mean over coffees of the mean difference within each coffee, per taster. */
function tasterDifferences(observations: readonly Observation[]): TasterDifference[] {
  return [...groupBy(observations, ({ seatId }) => seatId).values()].map((own) => {
    const coffees = [...groupBy(own, ({ coffeeId }) => coffeeId).values()];
    const repeats = leastCommonMultiple(coffees.map(({ length }) => length));
    return {
      value: mean(coffees.map((inCoffee) => mean(inCoffee.map(({ value }) => value)))),
      denominator: repeats * coffees.length,
    };
  });
}

const valuesOf = (observations: readonly Observation[]) =>
  tasterDifferences(observations).map(({ value }) => value);

function meanDifference(observations: readonly Observation[], alpha: number): Estimate | null {
  const values = valuesOf(observations);
  if (values.length === 0) return null;
  const { lower, upper } = pairedT(gridOf(values), "two-sided", 1 - alpha);
  return { value: mean(values), lower, upper, confidence: 1 - alpha };
}

/** Two one-sided t tests over tasters within one coffee. */
function marginOfScores(
  observations: readonly Observation[],
  margin: number,
  alpha: number,
): MeasuredMargin {
  const frame = { method: "two-one-sided-t", approximate: false, margin } as const;
  const values = tasterMeans(observations).map(({ value }) => value);
  if (values.length < 2) return { ...frame, pValue: null, lowerLimit: null, upperLimit: null };
  const { pValue, interval } = equivalence(gridOf(values), {
    lower: -margin,
    upper: margin,
    alpha,
  });
  return { ...frame, pValue, lowerLimit: interval.lower, upperLimit: interval.upper };
}

function differencesOfPairs(tests: readonly Observation[], alpha: number): MeasuredProcess {
  const pairs = pairMeans(tests);
  const values = pairs.map(({ value }) => value);
  return signFlipOverPairs(pairs, values, pairDenominator(pairs), alpha);
}

function companionsOf(observations: readonly Observation[]): Companions {
  const none = { strictBinomialPValue: null, signedRankPValue: null, tPValue: null };
  const values = valuesOf(observations);
  if (values.length === 0) return { ...none, standardDeviation: null };
  const grid = gridOf(values);
  const ranked = signedRank(grid).probability;
  return {
    strictBinomialPValue: null,
    signedRankPValue: ranked.ok ? ranked.pValue : null,
    tPValue: pairedT(grid).pValue,
    standardDeviation: moments(grid).standardDeviation,
  };
}
