import { z } from "zod";
import { gridOf } from "../../src/statistics/decimals.ts";
import { pairedPower } from "../../src/statistics/paired.ts";
import { signedRank, signTest } from "../../src/statistics/rank.ts";
import { numberOf } from "./arguments.ts";
import { calculated } from "./calculated.ts";
import { testPublished } from "./published-checks.ts";

testPublished("paired.json", {
  calculator: calculated,
  signedRankCritical: (pairs, alpha) => {
    const most = (numberOf(pairs) * (numberOf(pairs) + 1)) / 2;
    return largest(most, (total) => signedRankTail(numberOf(pairs), total) <= numberOf(alpha));
  },
  signedRankTail: (pairs, total) => signedRankTail(numberOf(pairs), numberOf(total)),
  signCritical: (pairs, alpha) => {
    const n = numberOf(pairs);
    return largest(n, (rarer) => signTail(n, rarer) <= numberOf(alpha));
  },
  pairedPower: (effect, pairs, alpha, sides) =>
    pairedPower(
      numberOf(effect),
      numberOf(pairs),
      numberOf(alpha),
      z.enum(["one", "two"]).parse(sides),
    ),
});

/** The last of 0, 1, … at which a condition that starts true still holds; null when it never does. */
function largest(most: number, holds: (value: number) => boolean): number | null {
  for (let value = 0; value <= most; value++) {
    if (!holds(value)) return value === 0 ? null : value - 1;
  }
  return most;
}

/** P(V ≤ total) of n untied differences, by a sample that has this sum of positive ranks. */
function signedRankTail(n: number, total: number): number {
  const signs = new Array<number>(n).fill(-1);
  let missing = total;
  for (let rank = n; rank > 0; rank--) {
    if (rank > missing) continue;
    signs[rank - 1] = 1;
    missing -= rank;
  }
  const { statistic, probability } = signedRank(
    gridOf(signs.map((sign, i) => sign * (i + 1))),
    "less",
  );
  if (!probability.ok || statistic !== total) throw new Error(`No rank sum ${total} of ${n}`);
  return probability.pValue;
}

function signTail(n: number, rarer: number): number {
  const differences = Array.from({ length: n }, (_, i) => (i < rarer ? 1 : -1));
  return signTest(gridOf(differences), "less").pValue;
}
