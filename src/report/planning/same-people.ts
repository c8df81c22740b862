import { criticalCount, upperTail } from "../../statistics/binomial.ts";
import { methods } from "../../statistics/discrimination.ts";
import { binomialProbability } from "../../statistics/distributions.ts";
import type { MethodName } from "../../statistics/methods/method.ts";

/** A test by right and wrong answers whose tasters answer several times each. */
export interface RepeatedAnswers {
  method: MethodName;
  tasters: number;
  answersEach: number;
  /** Share of people who notice, every time; the others guess every time. */
  noticing: number;
  alpha: number;
}

/**
 * Chance of finding a difference that always the same people notice: how many of them sit in the
 * panel is luck, so that repeats help less than new tasters. Exact: a binomial mixture over that
 * number, against the count that shows a difference whoever answers. With one answer each it is the
 * plain power.
 */
export function chanceWithSamePeople(test: RepeatedAnswers): number {
  const { method, tasters, answersEach, noticing, alpha } = test;
  const { guessing } = methods[method];
  const count = criticalCount(tasters * answersEach, guessing, alpha);
  if (count === null) return 0;
  let chance = 0;
  for (let noticers = 0; noticers <= tasters; noticers += 1) {
    const guesses = (tasters - noticers) * answersEach;
    const stillNeeded = count - noticers * answersEach;
    const reached = stillNeeded <= 0 ? 1 : upperTail(stillNeeded, guesses, guessing);
    chance += binomialProbability(noticers, tasters, noticing) * reached;
  }
  return chance;
}
