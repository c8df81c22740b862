import { criticalCount, upperTail } from "../../statistics/binomial.ts";
import { binomialProbability } from "../../statistics/distributions.ts";

/** Pairs that every taster answers several times. */
export interface RepeatedPicks {
  tasters: number;
  answersEach: number;
  /** Of each single pick. */
  pickRate: number;
  sides: "one" | "two";
  alpha: number;
}

/**
 * Chance of finding a lean when tasters repeat and are alike. The decision is the sign-flip over
 * tasters' sums; this is the exact power of the sign test over the tasters whose picks lean either
 * way, which is the same test for two answers each, and leaves out by how far they lean beyond that.
 * Two-sided it counts the true tail only.
 */
export function repeatedPicksPower(plan: RepeatedPicks): number {
  const { tasters, answersEach, pickRate, sides, alpha } = plan;
  const half = Math.floor(answersEach / 2);
  const leans = upperTail(half + 1, answersEach, pickRate);
  const even = answersEach % 2 === 0 ? binomialProbability(half, answersEach, pickRate) : 0;
  let power = 0;
  for (let leaning = 1; leaning <= tasters; leaning += 1) {
    const count = criticalCount(leaning, 1 / 2, alpha, sides);
    if (count === null) continue;
    const share = Math.min(1, leans / (1 - even));
    power += binomialProbability(leaning, tasters, 1 - even) * upperTail(count, leaning, share);
  }
  return power;
}
