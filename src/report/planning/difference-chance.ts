import { power } from "../../statistics/panel-size.ts";
import { repeatedPicksPower } from "./repeated-picks.ts";
import { chanceWithSamePeople } from "./same-people.ts";

/** A forced choice that every taster answers so many times. */
export interface PlannedChoice {
  method: "triangle" | "paired-comparison";
  sides: "one" | "two";
  alpha: number;
  tasters: number;
  answersEach: number;
}

/**
 * Chance of showing a difference that a share of people truly tell. Exact binomial when each answers
 * once. Where tasters repeat, triangles take it that the same people tell every time, and pairs are
 * decided over tasters' sums, as the report does it: repeats help less than new tasters.
 */
export function differenceChance(choice: PlannedChoice, truth: number): number {
  const { method, sides, alpha, tasters, answersEach } = choice;
  if (answersEach === 1) {
    const effect = { proportionDistinguishing: truth };
    return power({ method, sides, alpha, assessments: tasters, effect }).power;
  }
  return method === "triangle"
    ? chanceWithSamePeople({ tasters, answersEach, noticing: truth, alpha })
    : repeatedPicksPower({ tasters, answersEach, pickRate: (1 + truth) / 2, sides, alpha });
}
