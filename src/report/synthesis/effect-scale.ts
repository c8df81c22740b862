import { methods } from "../../statistics/discrimination.ts";
import type { Unit } from "../finding-parts.ts";

/**
 * What a combined effect is added up on, by unit: picks as log odds (of finding the odd cup, or of
 * picking B), where sessions of any lean have a variance that is about right; scores and yields as
 * their points. This gives the value that a report shows: share who can tell, lean, points. It is
 * never clamped: a share below 0 is what luck looks like.
 */
export function shownValue(effect: number, unit: Unit): number {
  switch (unit) {
    case "distinguishers":
      return (expit(effect) - TRIANGLE_GUESSING) / (1 - TRIANGLE_GUESSING);
    case "lean":
      return 2 * expit(effect) - 1;
    case "scale-points":
    case "yield-points":
      return effect;
  }
}

const TRIANGLE_GUESSING = methods.triangle.guessing;

function expit(logOdds: number): number {
  return 1 / (1 + Math.exp(-logOdds));
}
