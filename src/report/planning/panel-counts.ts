import { reachesAlpha } from "../../statistics/binomial.ts";
import type { MethodName } from "../../statistics/methods/method.ts";
import { type PanelSize, panelSize, power, similarityPower } from "../../statistics/panel-size.ts";
import { hasTwoSides } from "../endpoints/forced-choice.ts";
import { differenceChances } from "./difference-chance.ts";
import type { PanelClaim, PanelNeeds, PanelShape, PanelTest } from "./panel-test.ts";
import { smallestShare } from "./smallest-effect.ts";
import { tryTasters } from "./try-tasters.ts";

/** A forced choice, and the share of people who can tell that matters. */
export interface CountedChoice {
  method: MethodName;
  sides: "one" | "two";
  matters: number;
}

/**
 * Forced choices by exact binomial. Against "nobody can tell" all answers count together; as
 * close enough passes only what passes on every coffee. Where tasters repeat, right and wrong
 * answers take it that the same people notice every time, and pairs that tasters are alike.
 */
export function countedPanel(choice: CountedChoice, design: PanelShape): PanelTest {
  const { alpha, coffees } = design;
  const perCoffee = design.brewPairsPerCoffee * design.replicates;
  return {
    unit: "taster",
    have: design.tasters,
    matters: choice.matters,
    coffeesHeldApart: coffees,
    difference: differenceOf(choice, alpha, coffees * perCoffee),
    closenessAt: (margin, heldApart) =>
      closenessClaim({ ...choice, matters: margin }, alpha, perCoffee, heldApart),
    // A whole percent of picks is two of people who can tell.
    smallest: (isEnough) => smallestShare(isEnough, choice.method === "paired-comparison" ? 2 : 1),
    truths: Array.from({ length: 51 }, (_, i) => i / 50),
  };
}

/** Where tasters repeat, people are planned, not answers. */
function differenceOf(choice: CountedChoice, alpha: number, answersEach: number): PanelClaim {
  const once = differenceClaim(choice, alpha, answersEach);
  if (answersEach === 1) return once;
  const { method, sides, matters } = choice;
  const chances = (truth: number) =>
    differenceChances({ method, sides, alpha, answersEach }, truth);
  return {
    answers: once.answers,
    // Pooled right answers decide whoever gave them; repeated picks of pairs no single count.
    decidingCount: method === "paired-comparison" ? () => null : once.decidingCount,
    chance: (tasters, truth) => chances(truth)(tasters),
    needed: (wanted) => {
      const chance = chances(matters);
      return tryTasters((tasters) => chance(tasters) >= wanted);
    },
  };
}

function differenceClaim(choice: CountedChoice, alpha: number, answersEach: number): PanelClaim {
  const { method, sides, matters } = choice;
  const attained = (tasters: number, proportionDistinguishing: number) =>
    power({
      method,
      sides,
      alpha,
      assessments: tasters * answersEach,
      effect: { proportionDistinguishing },
    });
  const chance = (tasters: number, truth: number) => attained(tasters, truth).power;
  return {
    answers: (tasters) => tasters * answersEach,
    decidingCount: (tasters) => attained(tasters, matters).criticalCount,
    chance,
    needed: (wanted) =>
      inTasters(
        panelSize({
          method,
          sides,
          goal: "difference",
          alpha,
          power: wanted,
          effect: { proportionDistinguishing: matters },
        }),
        answersEach,
        (tasters) => chance(tasters, matters) >= wanted,
      ),
  };
}

function closenessClaim(
  { method, matters }: CountedChoice,
  alpha: number,
  answersEach: number,
  coffees: number,
): PanelClaim {
  const margin = { proportionDistinguishing: matters };
  // Where tasters repeat, so few people may exclude too little, however often each answers.
  const bothWays = hasTwoSides({ method });
  const canExclude = (share: number, tasters: number) =>
    answersEach === 1 || reachesAlpha((1 - share) ** tasters, alpha);
  const onOne = (tasters: number, truth: number) =>
    similarityPower({
      method,
      alpha,
      margin,
      bothWays,
      assessments: tasters * answersEach,
      truth: { proportionDistinguishing: truth },
    });
  // Given what is true of the coffees, their counts are independent.
  const chance = (tasters: number, truth: number) =>
    canExclude(matters, tasters) ? onOne(tasters, truth).power ** coffees : 0;
  return {
    answers: (tasters) => tasters * answersEach,
    decidingCount: (tasters) =>
      canExclude(matters, tasters) ? onOne(tasters, 0).criticalCount : null,
    chance,
    needed: (wanted) =>
      inTasters(
        panelSize({
          method,
          goal: "similarity",
          alpha,
          power: wanted ** (1 / coffees),
          effect: margin,
          bothWays,
        }),
        answersEach,
        (tasters) => chance(tasters, 0) >= wanted,
      ),
  };
}

/** A taster gives several answers at once, which steps over teeth of the saw or lands in a gap. */
function inTasters(
  size: PanelSize | null,
  answersEach: number,
  isEnough: (tasters: number) => boolean,
): PanelNeeds | null {
  if (size === null) return null;
  let smallest = Math.ceil(size.assessments / answersEach);
  while (!isEnough(smallest)) smallest += 1;
  if (size.stableAssessments === null) return { smallest, stable: null };
  let stable = Math.max(smallest, Math.ceil(size.stableAssessments / answersEach));
  while (stable > smallest && isEnough(stable - 1)) stable -= 1;
  return { smallest, stable };
}
