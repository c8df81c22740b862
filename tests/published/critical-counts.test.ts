import {
  binomialPValue,
  criticalCount,
  lowerTail,
  maximumCount,
  upperTail,
} from "../../src/statistics/binomial.ts";
import { methods, proportionCorrectAt } from "../../src/statistics/discrimination.ts";
import { methodOf, numberOf, sidesOf } from "./arguments.ts";
import { type Quantity, testPublished } from "./published-checks.ts";

testPublished("critical-counts.json", {
  criticalCount: (method, sides, alpha, n) =>
    criticalCount(numberOf(n), methods[methodOf(method)].guessing, numberOf(alpha), sidesOf(sides)),
  maximumCount: mostAlike,
  maximumCountAboveChance: (...row) => {
    const most = mostAlike(...row);
    const [method, , , n] = row;
    const chance = numberOf(n) * methods[methodOf(method)].guessing;
    return most === null || most < chance ? null : most;
  },
  pValue: (method, sides, n, x) =>
    binomialPValue(numberOf(x), numberOf(n), methods[methodOf(method)].guessing, sidesOf(sides)),
  doubledTail: (x, n, p) => binomialPValue(numberOf(x), numberOf(n), numberOf(p), "two"),
  upperTail: (x, n, p) => upperTail(numberOf(x), numberOf(n), numberOf(p)),
  lowerTail: (x, n, p) => lowerTail(numberOf(x), numberOf(n), numberOf(p)),
} satisfies Record<string, Quantity>);

function mostAlike(...row: (number | string)[]): number | null {
  const [method, beta, margin, n] = row;
  const { guessing } = methods[methodOf(method)];
  const atMargin = proportionCorrectAt(numberOf(margin), guessing);
  return maximumCount(numberOf(n), atMargin, numberOf(beta));
}
