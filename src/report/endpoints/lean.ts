import type { Endpoint } from "../../experiment/endpoint.ts";
import { binomialPValue, criticalCount } from "../../statistics/binomial.ts";
import { methods } from "../../statistics/discrimination.ts";
import type { Alternative } from "../../statistics/randomisation.ts";
import type { MeasuredProcess } from "../measured.ts";
import type { Observation } from "../observations.ts";
import { estimatePd, type ForcedChoice, picked, replicatedPd } from "./forced-choice.ts";
import { homogeneityOfPicks } from "./homogeneity.ts";
import type { Measure } from "./measure.ts";
import { marginOfPicks } from "./pick-margin.ts";
import { pairDenominator, pairMeans, signFlipOverPairs } from "./process-pairs.ts";
import { signFlipPValue } from "./sign-flips.ts";
import { anyoneRepeats, tasterMeans } from "./taster-means.ts";

const choice: ForcedChoice = {
  method: "paired-comparison",
  guessing: methods["paired-comparison"].guessing,
};

type LeanEndpoint = Extract<Endpoint, { kind: "direction" | "preference" }>;

/**
 * Which of two cups: an attribute's direction, or preference. Null hypothesis of the difference: on
 * average tasters lean neither way; exact sign-flip over each taster's sum of picks, which is the
 * exact binomial when each answers once. Two-sided unless the plan names the direction (ISO 5495).
 */
export function leanMeasure(endpoint: LeanEndpoint): Measure {
  const expected = endpoint.kind === "direction" ? endpoint.expected : null;
  const sides = expected === null ? "two" : "one";
  return {
    unit: "lean",
    counts: countPicks,
    estimate: (observations, alpha) => estimatePd(choice, observations, alpha),
    difference: (observations, level) => ({
      method: "sign-flip-over-tasters",
      sides,
      expected,
      pValue: leanPValue(observations, alternativeFor(expected)),
      criticalCount: anyoneRepeats(observations)
        ? null
        : criticalCount(observations.length, choice.guessing, level, sides),
    }),
    twoSidedPValue: (observations) => leanPValue(observations, "two-sided"),
    margin: (observations, alpha) => marginOfPicks(choice, observations, endpoint.margin, alpha),
    process: (tests, _controls, alpha) => leansOfPairs(tests, alpha),
    homogeneity: (observations) => homogeneityOfPicks(observations),
    replicated: (observations, alpha) => replicatedPd(choice, observations, alpha),
    companions: (observations) => ({
      strictBinomialPValue: strictBinomial(observations, expected),
      signedRankPValue: null,
      tPValue: null,
      standardDeviation: null,
    }),
    tasterValue: (share) => 2 * share - 1,
  };
}

function countPicks(observations: readonly Observation[]) {
  const pickedB = picked(observations);
  return {
    tasters: new Set(observations.map(({ seatId }) => seatId)).size,
    answers: observations.length,
    correct: null,
    pickedA: observations.length - pickedB,
    pickedB,
  };
}

function alternativeFor(expected: "A" | "B" | null): Alternative {
  if (expected === null) return "two-sided";
  return expected === "B" ? "greater" : "less";
}

function leanPValue(observations: readonly Observation[], alternative: Alternative) {
  const sums = tasterMeans(observations).map(({ answers, value }) =>
    Math.round(answers * (2 * value - 1)),
  );
  return signFlipPValue(sums, 1, alternative);
}

function leansOfPairs(tests: readonly Observation[], alpha: number): MeasuredProcess {
  const pairs = pairMeans(tests);
  const leans = pairs.map(({ value }) => 2 * value - 1);
  return signFlipOverPairs(pairs, leans, pairDenominator(pairs), alpha);
}

/** That the cups are identical and every pick a coin's throw: answers counted, not tasters. */
function strictBinomial(observations: readonly Observation[], expected: "A" | "B" | null) {
  if (observations.length === 0) return null;
  const { pickedA, pickedB } = countPicks(observations);
  const favour = expected === "A" ? pickedA : pickedB;
  const sides = expected === null ? "two" : "one";
  return binomialPValue(favour, observations.length, choice.guessing, sides);
}
