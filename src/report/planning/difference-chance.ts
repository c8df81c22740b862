import type { MethodName } from "../../statistics/methods/method.ts";
import { power } from "../../statistics/panel-size.ts";
import { repeatedPicksPowers } from "./repeated-picks.ts";
import { chanceWithSamePeople } from "./same-people.ts";

/** A forced choice that every taster answers so many times. */
export interface PlannedChoice {
  method: MethodName;
  sides: "one" | "two";
  alpha: number;
  tasters: number;
  answersEach: number;
}

/**
 * Chance of showing a difference that a share of people truly tell. Exact binomial when each answers
 * once. Where tasters repeat, right and wrong answers take it that the same people tell every time, and pairs are
 * decided over tasters' sums, as the report does it: repeats help less than new tasters.
 */
export function differenceChance(choice: PlannedChoice, truth: number): number {
  return differenceChances(choice, truth)(choice.tasters);
}

/** The same for any number of tasters, quicker for a search through many. */
export function differenceChances(
  choice: Omit<PlannedChoice, "tasters">,
  truth: number,
): (tasters: number) => number {
  const { method, sides, alpha, answersEach } = choice;
  if (answersEach === 1) {
    const effect = { proportionDistinguishing: truth };
    return (tasters) => power({ method, sides, alpha, assessments: tasters, effect }).power;
  }
  return method === "paired-comparison"
    ? repeatedPicksPowers({ answersEach, pickRate: (1 + truth) / 2, sides, alpha })
    : (tasters) => chanceWithSamePeople({ method, tasters, answersEach, noticing: truth, alpha });
}
