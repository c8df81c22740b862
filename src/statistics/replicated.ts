import { type BetaBinomialFit, fitBetaBinomial } from "./beta-binomial.ts";
import type { TasterCount } from "./beta-binomial-likelihood.ts";
import { methods, proportionDistinguishing } from "./discrimination.ts";
import { binomialUpperTail, chiSquareUpperTail, normalUpperQuantile } from "./distributions.ts";
import type { MethodName } from "./methods/method.ts";

export interface ReplicatedTest {
  /** All answers together: valid against "nobody can tell", whoever answered how often. */
  pooled: { tasters: number; assessments: number; correct: number; pValue: number };
  betaBinomial: Omit<BetaBinomialFit, "binomialLogLikelihood">;
  /** Against "all tasters have one probability". */
  overdispersionTest: { statistic: number; pValue: number };
  /** Raw, not clamped to 0..1. */
  proportionDistinguishing: { estimate: number; lower: number; upper: number };
}

/**
 * A forced-choice test whose tasters answered more than once. The pooled exact p stands against the
 * null that nobody can tell (Kunert & Meyners 1999, Food Qual. Pref. 10, 477); the size of the effect
 * comes from the beta-binomial over tasters, with a Wald interval on its mean, carried over by
 * (μ − guessing)/(1 − guessing). The likelihood-ratio test of ρ = 0 halves chi-square's tail, since
 * ρ = 0 is a boundary (Self & Liang 1987, JASA 82, 605).
 */
export function replicatedTest(
  method: MethodName,
  tasters: readonly TasterCount[],
  confidence = 0.95,
): ReplicatedTest {
  const { guessing } = methods[method];
  const { binomialLogLikelihood, ...betaBinomial } = fitBetaBinomial(tasters);
  const ratio = Math.max(0, 2 * (betaBinomial.logLikelihood - binomialLogLikelihood));
  const { proportion, standardError } = betaBinomial;
  const halfWidth = normalUpperQuantile((1 - confidence) / 2) * standardError;
  const distinguishing = (correct: number) => proportionDistinguishing(correct, guessing);
  return {
    pooled: pool(guessing, tasters),
    betaBinomial,
    overdispersionTest: {
      statistic: ratio,
      pValue: ratio === 0 ? 1 : chiSquareUpperTail(ratio, 1) / 2,
    },
    proportionDistinguishing: {
      estimate: distinguishing(proportion),
      lower: distinguishing(proportion - halfWidth),
      upper: distinguishing(proportion + halfWidth),
    },
  };
}

function pool(guessing: number, tasters: readonly TasterCount[]): ReplicatedTest["pooled"] {
  const assessments = tasters.reduce((sum, taster) => sum + taster.assessments, 0);
  const correct = tasters.reduce((sum, taster) => sum + taster.correct, 0);
  const pValue = binomialUpperTail(correct, assessments, guessing);
  return { tasters: tasters.length, assessments, correct, pValue };
}
