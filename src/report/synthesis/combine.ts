import { normalUpperQuantile, tUpperQuantile } from "../../statistics/distributions.ts";
import { randomEffects } from "../../statistics/synthesis.ts";
import type { Unit } from "../finding-parts.ts";
import { type EffectScale, shownValue } from "./effect-scale.ts";
import type { SessionAnswers } from "./session-answers.ts";
import { type EffectRefusal, sessionEffect } from "./session-effect.ts";

/** A value with its interval at 95 %, as a report shows it. */
export interface Shown {
  value: number;
  lower: number;
  upper: number;
}

export interface CombinedStudy extends Shown {
  label: string;
  answers: number;
  /** On the scale that effects are added up on. */
  effect: number;
  variance: number;
  /** Percent of the combined effect that this study makes up. */
  weightPercent: number;
}

/** What several sessions say together, or one alone. */
export interface Combined {
  unit: Unit;
  studies: CombinedStudy[];
  /** Sessions without an effect to combine, and why. */
  leftOut: { label: string; refusal: EffectRefusal }[];
  /** Average over sessions; null when there is none. */
  pooled: Shown | null;
  /** Where a new session's true effect is expected, from three sessions on. */
  prediction: Omit<Shown, "value"> | null;
  /** Whether sessions differ by more than chance; null under two. */
  heterogeneity: {
    q: number;
    df: number;
    pValue: number;
    iSquaredPercent: number;
    /** Standard deviation between sessions, on the scale that effects are added up on. */
    tau: number;
  } | null;
}

const CONFIDENCE = 0.95;

/**
 * Combines sessions by random effects: the spread between sessions by restricted maximum likelihood,
 * the interval by Hartung, Knapp, Sidik and Jonkman (modified, see below), the prediction interval with k − 2 degrees of
 * freedom from three sessions on. Effects are added up on the scale of `shownValue` and only
 * then turned into what is shown.
 */
export function combineSessions(sessions: readonly SessionAnswers[], scale: EffectScale): Combined {
  const read = sessions.map((session) => ({ label: session.label, ...sessionEffect(session) }));
  return combine(
    read.flatMap((one) => (one.ok ? [one] : [])),
    scale,
    read.flatMap((one) => (one.ok ? [] : [{ label: one.label, refusal: one.refusal }])),
  );
}

export interface LabelledEffect {
  label: string;
  answers: number;
  effect: number;
  variance: number;
}

/** Combines effects that are on a scale already. */
export function combine(
  effects: readonly LabelledEffect[],
  scale: EffectScale,
  leftOut: Combined["leftOut"] = [],
): Combined {
  const { unit } = scale;
  if (effects.length === 0) {
    return { unit, studies: [], leftOut, pooled: null, prediction: null, heterogeneity: null };
  }
  const found = cautious(effects);
  const show = (effect: number) => shownValue(effect, scale);
  const { estimate, lower, upper } = found.random;
  const { predictionInterval, q } = found;
  return {
    unit,
    studies: weighed(effects, scale, found.tauSquared),
    leftOut,
    pooled: { value: show(estimate), ...ordered(show(lower), show(upper)) },
    prediction:
      predictionInterval && ordered(show(predictionInterval.lower), show(predictionInterval.upper)),
    heterogeneity:
      effects.length < 2
        ? null
        : {
            q: q.statistic,
            df: q.df,
            pValue: q.pValue,
            iSquaredPercent: found.iSquaredPercent,
            tau: Math.sqrt(found.tauSquared),
          },
  };
}

/** Limits in their order: a right answer may speak for either side. */
function ordered(one: number, other: number): Omit<Shown, "value"> {
  return { lower: Math.min(one, other), upper: Math.max(one, other) };
}

/**
 * Few sessions may agree by luck, and the interval of Hartung and Knapp then shrinks to nothing; so it
 * is never taken narrower than the sessions' own errors allow, with t on k − 1 (Knapp & Hartung 2003,
 * Stat. Med. 22, 2693; Röver, Knapp & Friede 2015, BMC Med. Res. Methodol. 15, 99).
 */
function cautious(effects: readonly LabelledEffect[]) {
  const found = randomEffects(effects, { confidence: CONFIDENCE });
  const k = effects.length;
  if (k < 2) return found;
  const own = randomEffects(effects, { confidence: CONFIDENCE, interval: "normal" });
  const { estimate } = found.random;
  const error = Math.max(found.random.standardError, own.random.standardError);
  const tail = (1 - CONFIDENCE) / 2;
  const half = tUpperQuantile(tail, k - 1) * error;
  const reach =
    k > 2 ? tUpperQuantile(tail, k - 2) * Math.hypot(Math.sqrt(found.tauSquared), error) : null;
  return {
    ...found,
    random: { estimate, standardError: error, lower: estimate - half, upper: estimate + half },
    predictionInterval:
      reach === null ? null : { lower: estimate - reach, upper: estimate + reach },
  };
}

function weighed(
  effects: readonly LabelledEffect[],
  scale: EffectScale,
  tauSquared: number,
): CombinedStudy[] {
  const weights = effects.map(({ variance }) => 1 / (variance + tauSquared));
  const total = weights.reduce((sum, weight) => sum + weight, 0);
  const quantile = normalUpperQuantile((1 - CONFIDENCE) / 2);
  return effects.map((study, i) => {
    const half = quantile * Math.sqrt(study.variance);
    return {
      label: study.label,
      answers: study.answers,
      effect: study.effect,
      variance: study.variance,
      value: shownValue(study.effect, scale),
      ...ordered(shownValue(study.effect - half, scale), shownValue(study.effect + half, scale)),
      weightPercent: (100 * (weights[i] ?? 0)) / total,
    };
  });
}
