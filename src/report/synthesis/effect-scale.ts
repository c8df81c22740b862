import type { Treatment } from "../../experiment/endpoint.ts";
import {
  methods,
  proportionDistinguishing,
  proportionLeaning,
} from "../../statistics/discrimination.ts";
import type { Unit } from "../finding-parts.ts";
import type { Question } from "./question.ts";
import { expectedSide, type SessionAnswers, unitOf } from "./session-answers.ts";

/** What effects of one question count. */
export interface EffectScale {
  unit: Unit;
  /** By what chance answers are guessed; 0 where none are. */
  guessing: number;
  /** The side that a right answer to three cups speaks for; B elsewhere. */
  towards: Treatment;
}

/** The scale of a question's effects in the sessions that answer it. */
export function scaleOf(
  question: Pick<Question, "kind" | "method">,
  [first]: readonly SessionAnswers[] = [],
): EffectScale {
  const { method } = question;
  return {
    unit: unitOf(question),
    guessing: method === null ? 0 : methods[method].guessing,
    towards: (first && expectedSide(first)) ?? "B",
  };
}

/**
 * What a combined effect is added up on, by unit: picks as log odds (of a right answer, or of
 * picking B), where sessions of any lean have a variance that is about right; scores and yields as
 * their points. This gives the value that a report shows: share who can tell, lean, points. It is
 * never clamped: a share below 0 is what luck looks like.
 */
export function shownValue(effect: number, { unit, guessing, towards }: EffectScale): number {
  switch (unit) {
    case "distinguishers":
      return proportionDistinguishing(expit(effect), guessing);
    case "lean":
      return 2 * expit(effect) - 1;
    case "lean-of-three": {
      const share = proportionLeaning(expit(effect), guessing);
      return towards === "B" ? share : -share;
    }
    case "scale-points":
    case "yield-points":
      return effect;
  }
}

function expit(logOdds: number): number {
  return 1 / (1 + Math.exp(-logOdds));
}
