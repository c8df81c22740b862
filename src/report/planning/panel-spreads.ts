import { pairedSize } from "../../statistics/paired.ts";
import { pairsForAnyClaim } from "../endpoints/process-pairs.ts";
import { equivalencePower, equivalenceSize } from "./equivalence-power.ts";
import type { PanelClaim, PanelNeeds, PanelShape, PanelTest } from "./panel-test.ts";
import { smallestPoints } from "./smallest-effect.ts";
import { spreadChance } from "./spread-chance.ts";

/** Differences in points: the size that matters, and how much single ones vary. */
export interface Spread {
  points: number;
  sd: number;
}

/** Scores: tasters are the unit, each with one mean difference; closeness on every coffee. */
export function scoredPanel(spread: Spread, design: PanelShape): PanelTest {
  return {
    ...spreadTest(spread, design.alpha),
    unit: "taster",
    have: design.tasters,
    coffeesHeldApart: design.coffees,
  };
}

/** Extraction yields: brew pairs are the unit, over all coffees together. */
export function yieldPanel(spread: Spread, design: PanelShape): PanelTest {
  return {
    ...spreadTest(spread, design.alpha),
    unit: "brew-pair",
    have: design.coffees * design.brewPairsPerCoffee,
    coffeesHeldApart: 1,
  };
}

function spreadTest({ points, sd }: Spread, alpha: number) {
  return {
    matters: points,
    difference: differenceClaim({ points, sd }, alpha),
    closenessAt: (margin: number, coffees: number) => closenessClaim(margin, sd, alpha, coffees),
    smallest: (isEnough: (effect: number) => boolean) => smallestPoints(isEnough, sd),
    truths: Array.from({ length: 51 }, (_, i) => (i * 2 * points) / 50),
  };
}

/** The exact sign-flip's chance; where only unanimity decides, units step from never to sometimes. */
function differenceClaim({ points, sd }: Spread, alpha: number): PanelClaim {
  const fewest = pairsForAnyClaim(alpha);
  const chance = (units: number, truth: number) => spreadChance(truth / sd, units, alpha);
  return {
    ...withoutCounts,
    chance,
    needed: (power) => {
      if (chance(fewest, points) >= power) return only(fewest);
      const size = pairedSize(points, sd, power, alpha, "two");
      return size && only(Math.max(size.pairs, fewest + 1));
    },
  };
}

function closenessClaim(margin: number, sd: number, alpha: number, coffees: number): PanelClaim {
  return {
    ...withoutCounts,
    chance: (pairs, difference) =>
      equivalencePower({ margin, sd, pairs, alpha, difference }) ** coffees,
    needed: (power) => {
      const pairs = equivalenceSize({ margin, sd, alpha }, power ** (1 / coffees));
      return pairs === null ? null : only(pairs);
    },
  };
}

const withoutCounts = { answers: () => null, decidingCount: () => null };

/** Chances of means rise with every unit: the smallest size is the stable one. */
function only(size: number): PanelNeeds {
  return { smallest: size, stable: size };
}
