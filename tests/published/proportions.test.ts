import { z } from "zod";
import { binomialPValue, lowerTail, upperTail } from "../../src/statistics/binomial.ts";
import { discriminationTest } from "../../src/statistics/discrimination.ts";
import {
  clopperPearson,
  exactUpperLimit,
  type Interval,
  wilson,
} from "../../src/statistics/intervals.ts";
import { methodOf, numberOf } from "./arguments.ts";
import { testPublished } from "./published-checks.ts";

testPublished("proportions.json", {
  exactLimits: (...row) => limit(clopperPearson, row),
  wilsonLimits: (...row) => limit(wilson, row),
  upperLimit: (x, n, alpha) => exactUpperLimit(numberOf(x), numberOf(n), numberOf(alpha)),
  pdEstimate: (...row) => pdOf(row).estimate,
  pdLower: (...row) => pdOf(row).lower,
  pdUpper: (...row) => pdOf(row).upper,
  lowerTail: (x, n, p) => lowerTail(numberOf(x), numberOf(n), numberOf(p)),
  upperTail: (x, n, p) => upperTail(numberOf(x), numberOf(n), numberOf(p)),
  doubledTail: (x, n, p) => binomialPValue(numberOf(x), numberOf(n), numberOf(p), "two"),
});

type Limits = (successes: number, trials: number, confidence: number) => Interval;

function limit(interval: Limits, [x, n, confidence, end]: unknown[]): number {
  const which = z.enum(["estimate", "lower", "upper"]).parse(end);
  return interval(numberOf(x), numberOf(n), numberOf(confidence))[which];
}

function pdOf([method, assessments, correct]: unknown[]): Interval {
  return discriminationTest({
    method: methodOf(method),
    assessments: numberOf(assessments),
    correct: numberOf(correct),
  }).proportionDistinguishing;
}
