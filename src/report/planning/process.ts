import { type Endpoint, isRightOrWrong } from "../../experiment/endpoint.ts";
import type { Plan } from "../../experiment/plan.ts";
import { criticalCount } from "../../statistics/binomial.ts";
import { pairsForAnyClaim } from "../endpoints/process-pairs.ts";
import { contrastPairsForAnyClaim, smallestContrastPValue } from "../endpoints/right-or-wrong.ts";
import type { ProcessOutlook } from "./outlook.ts";

/** Whether the brew pairs can carry a claim about the process at all. */
export function processOutlook(endpoint: Endpoint, plan: Plan): ProcessOutlook {
  return processChances(isRightOrWrong(endpoint), {
    coffees: plan.coffees.length,
    brewPairsPerCoffee: plan.brewPairsPerCoffee,
    controlPairsPerCoffee: plan.controls.sameTreatmentPairsPerCoffee,
    alpha: plan.alpha,
  });
}

/** The pots of a session. */
export interface PotsPlan {
  coffees: number;
  brewPairsPerCoffee: number;
  /** Hidden pairs of one treatment. */
  controlPairsPerCoffee: number;
  alpha: number;
}

/** The same from the pots alone; right and wrong answers are held against control pairs, all else by sign-flip. */
export function processChances(rightOrWrong: boolean, pots: PotsPlan): ProcessOutlook {
  const { coffees, brewPairsPerCoffee, controlPairsPerCoffee, alpha } = pots;
  const pairs = coffees * brewPairsPerCoffee;
  const common = { pairs, controlPairs: coffees * controlPairsPerCoffee };
  return rightOrWrong
    ? { ...common, needsControlPairs: true, ...contrast(pots) }
    : { ...common, needsControlPairs: false, ...signFlips(pairs, alpha) };
}

type Chance = Omit<ProcessOutlook, "pairs" | "controlPairs" | "needsControlPairs">;

function signFlips(pairs: number, alpha: number): Chance {
  const smallestPossiblePValue = Math.min(1, 2 ** (1 - pairs));
  return {
    smallestPossiblePValue,
    claimable: smallestPossiblePValue <= alpha,
    pairsForAnyClaim: pairsForAnyClaim(alpha),
    pairsThatMustAgree: criticalCount(pairs, 1 / 2, alpha, "two"),
  };
}

/** Right and wrong answers have no side to lean to: their pairs are held against two pots of one treatment. */
function contrast({ coffees, brewPairsPerCoffee, controlPairsPerCoffee, alpha }: PotsPlan): Chance {
  const smallest =
    controlPairsPerCoffee > 0
      ? smallestContrastPValue(coffees, brewPairsPerCoffee, controlPairsPerCoffee)
      : null;
  return {
    smallestPossiblePValue: smallest,
    claimable: smallest !== null && smallest <= alpha,
    pairsForAnyClaim: contrastPairsForAnyClaim(coffees, controlPairsPerCoffee, alpha),
    pairsThatMustAgree: null,
  };
}
