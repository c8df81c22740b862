import { bisect } from "./bisection.ts";
import { chiSquareUpperTail, normalUpperQuantile, tUpperQuantile } from "./distributions.ts";

/** One session's estimate and its sampling variance. */
export interface Study {
  effect: number;
  variance: number;
}

export interface PooledEffect {
  estimate: number;
  standardError: number;
  lower: number;
  upper: number;
}

export interface RandomEffects {
  fixed: PooledEffect;
  random: PooledEffect;
  /**
   * Where a new session's true effect is expected: estimate ± t × √(τ² + s²), s the standard error
   * of `random` (so Hartung–Knapp's with "hksj", 1/√Σw with "normal"); null under three studies.
   */
  predictionInterval: { lower: number; upper: number } | null;
  tauSquared: number;
  q: { statistic: number; df: number; pValue: number };
  iSquaredPercent: number;
}

export interface SynthesisOptions {
  estimator?: "dl" | "reml";
  interval?: "normal" | "hksj";
  confidence?: number;
}

/**
 * Random-effects synthesis over sessions. τ² by restricted maximum likelihood (Viechtbauer 2005,
 * J. Educ. Behav. Statist. 30, 261) or DerSimonian & Laird (1986, Control. Clin. Trials 7, 177);
 * interval by Hartung & Knapp (2001) and Sidik & Jonkman (2002), unmodified, t with k − 1, or normal;
 * prediction interval t with k − 2 (Higgins, Thompson & Spiegelhalter 2009, J. R. Statist. Soc. A
 * 172, 137); the fixed effect is normal. Of one study, random equals fixed.
 */
export function randomEffects(
  studies: readonly Study[],
  { estimator = "reml", interval = "hksj", confidence = 0.95 }: SynthesisOptions = {},
): RandomEffects {
  const tail = (1 - confidence) / 2;
  const k = studies.length;
  const fixed = weigh(studies, 0);
  const q = {
    statistic: fixed.q,
    df: k - 1,
    pValue: k > 1 ? chiSquareUpperTail(fixed.q, k - 1) : 1,
  };
  const tauSquared = k > 1 ? estimateTauSquared(studies, fixed, estimator) : 0;
  const random = weigh(studies, tauSquared);
  const hksj = interval === "hksj" && k > 1;
  const standardError = hksj
    ? Math.sqrt(random.q / ((k - 1) * random.weight))
    : 1 / Math.sqrt(random.weight);
  const quantile = hksj ? tUpperQuantile(tail, k - 1) : normalUpperQuantile(tail);
  return {
    fixed: around(fixed.mean, 1 / Math.sqrt(fixed.weight), normalUpperQuantile(tail)),
    random: around(random.mean, standardError, quantile),
    predictionInterval:
      k > 2 ? predict(random.mean, tauSquared, standardError, tUpperQuantile(tail, k - 2)) : null,
    tauSquared,
    q,
    iSquaredPercent: fixed.q > 0 ? 100 * Math.max(0, (fixed.q - q.df) / fixed.q) : 0,
  };
}

interface Weighted {
  mean: number;
  /** Σw, Σw² and Σw(y − mean)², with w = 1/(variance + τ²). */
  weight: number;
  squaredWeights: number;
  q: number;
  /** Σw²(y − mean)². */
  squaredQ: number;
}

function weigh(studies: readonly Study[], tauSquared: number): Weighted {
  const weighted = studies.map(({ effect, variance }) => ({
    effect,
    w: 1 / (variance + tauSquared),
  }));
  const add = (term: (effect: number, w: number) => number) =>
    weighted.reduce((sum, { effect, w }) => sum + term(effect, w), 0);
  const weight = add((_, w) => w);
  const mean = add((effect, w) => w * effect) / weight;
  return {
    mean,
    weight,
    squaredWeights: add((_, w) => w * w),
    q: add((effect, w) => w * (effect - mean) ** 2),
    squaredQ: add((effect, w) => (w * (effect - mean)) ** 2),
  };
}

function estimateTauSquared(
  studies: readonly Study[],
  fixed: Weighted,
  estimator: "dl" | "reml",
): number {
  if (estimator === "reml") return restrictedMaximum(studies);
  const excess = fixed.q - (studies.length - 1);
  return Math.max(0, excess / (fixed.weight - fixed.squaredWeights / fixed.weight));
}

/**
 * The restricted likelihood's slope changes sign at each of its maxima. No maximum lies beyond the
 * sum of squares of the effects, so a grid up to there (geometric, for variances differ by powers of
 * ten) brackets them, bisection finds them to the last digit, and the best wins, 0 included.
 */
function restrictedMaximum(studies: readonly Study[]): number {
  const mean = studies.reduce((sum, { effect }) => sum + effect, 0) / studies.length;
  const largest = 2 * studies.reduce((sum, { effect }) => sum + (effect - mean) ** 2, 0);
  const grid = [
    0,
    ...Array.from({ length: STEPS + 1 }, (_, i) => largest * 2 ** ((i - STEPS) / 2)),
  ];
  const maxima = grid.slice(1).flatMap((to, i) => {
    const from = grid[i] ?? 0;
    const peak = restrictedSlope(studies, from) > 0 && restrictedSlope(studies, to) <= 0;
    return peak ? [bisect((tauSquared) => restrictedSlope(studies, tauSquared) > 0, from, to)] : [];
  });
  return [0, ...maxima].reduce((best, candidate) =>
    restrictedLikelihood(studies, candidate) > restrictedLikelihood(studies, best)
      ? candidate
      : best,
  );
}

const STEPS = 120;

function restrictedSlope(studies: readonly Study[], tauSquared: number): number {
  const { weight, squaredWeights, squaredQ } = weigh(studies, tauSquared);
  return squaredQ - weight + squaredWeights / weight;
}

function restrictedLikelihood(studies: readonly Study[], tauSquared: number): number {
  const { weight, q } = weigh(studies, tauSquared);
  const spread = studies.reduce((sum, { variance }) => sum + Math.log(variance + tauSquared), 0);
  return -0.5 * (spread + Math.log(weight) + q);
}

function predict(
  estimate: number,
  tauSquared: number,
  standardError: number,
  quantile: number,
): RandomEffects["predictionInterval"] {
  const halfWidth = quantile * Math.sqrt(tauSquared + standardError ** 2);
  return { lower: estimate - halfWidth, upper: estimate + halfWidth };
}

function around(estimate: number, standardError: number, quantile: number): PooledEffect {
  const halfWidth = quantile * standardError;
  return { estimate, standardError, lower: estimate - halfWidth, upper: estimate + halfWidth };
}
