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
  return repeatedPicksPowers(plan)(plan.tasters);
}

/** The same for any number of tasters: what it takes of those who lean is worked out only once. */
export function repeatedPicksPowers(
  plan: Omit<RepeatedPicks, "tasters">,
): (tasters: number) => number {
  const { answersEach, pickRate, sides, alpha } = plan;
  const half = Math.floor(answersEach / 2);
  const leans = upperTail(half + 1, answersEach, pickRate);
  const even = answersEach % 2 === 0 ? binomialProbability(half, answersEach, pickRate) : 0;
  const share = Math.min(1, leans / (1 - even));
  const found = [0];
  const foundWith = (leaning: number) => {
    const count = criticalCount(leaning, 1 / 2, alpha, sides);
    return count === null ? 0 : upperTail(count, leaning, share);
  };
  return (tasters) => {
    while (found.length <= tasters) found.push(foundWith(found.length));
    return found
      .slice(0, tasters + 1)
      .reduce(
        (power, chance, leaning) =>
          power + (chance && chance * binomialProbability(leaning, tasters, 1 - even)),
        0,
      );
  };
}
