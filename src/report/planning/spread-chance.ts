import { normalLowerTail } from "../../statistics/distributions.ts";
import { pairedPower } from "../../statistics/paired.ts";
import { pairsForAnyClaim } from "../endpoints/process-pairs.ts";

/**
 * Chance that the two-sided sign-flip over so many units (tasters, brew pairs) shows a difference of
 * a size in standard deviations. By the noncentral t, which the exact test follows within 4 points
 * from 7 units on, 2 from 8. Where nothing but unanimity reaches alpha (6 units at 5 %), the chance
 * of that, exact for normal differences; 0 with fewer.
 */
export function spreadChance(effect: number, units: number, alpha: number): number {
  const fewest = pairsForAnyClaim(alpha);
  if (units < fewest) return 0;
  return units === fewest
    ? normalLowerTail(effect) ** units + normalLowerTail(-effect) ** units
    : pairedPower(effect, units, alpha, "two");
}
