import type { CupIon } from "./cup.ts";
import type { Effect } from "./mixture.ts";

export interface Difference {
  /** Before less after, mg/L. */
  milligramsPerLitre: number;
  standardUncertainty: number;
  /** Causes that matter, largest first; one that both arms share counts with what is left of it. */
  budget: Effect[];
}

/**
 * Difference of two cups with its standard uncertainty, first order: what both arms share (one
 * stock's weighings) is subtracted before squaring, so that it cancels.
 * Source: JCGM 100:2008 (GUM) 5.1, 5.2.
 */
export function difference(before: CupIon, after: CupIon): Difference {
  const signed = [
    ...before.effects,
    ...after.effects.map((effect) => ({
      source: effect.source,
      milligramsPerLitre: -effect.milligramsPerLitre,
    })),
  ];
  const sources = [...new Set(signed.map((effect) => effect.source))];
  const budget = sources.map((source) => ({
    source,
    milligramsPerLitre: sum(
      signed.filter((effect) => effect.source === source).map((part) => part.milligramsPerLitre),
    ),
  }));
  const size = ({ milligramsPerLitre }: Effect) => Math.abs(milligramsPerLitre);
  return {
    milligramsPerLitre: before.milligramsPerLitre - after.milligramsPerLitre,
    standardUncertainty: Math.hypot(...budget.map(size)),
    budget: budget
      .filter((effect) => size(effect) > 0)
      .toSorted((left, right) => size(right) - size(left)),
  };
}

function sum(values: readonly number[]): number {
  return values.reduce((total, value) => total + value, 0);
}
