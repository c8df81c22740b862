import * as distributions from "../../src/statistics/distributions.ts";
import { numbersOf } from "./arguments.ts";
import { type Quantity, testPublished } from "./published-checks.ts";

testPublished("distribution-tables.json", {
  normalLower: onNumbers(distributions.normalLowerTail),
  normalNegativeLog10Upper: onNumbers((z) => -distributions.normalLogLowerTail(-z) / Math.LN10),
  normalTwoSided: onNumbers((z) => 2 * distributions.normalUpperTail(z)),
  normalUpperQuantile: onNumbers(distributions.normalUpperQuantile),
  tTwoSided: onNumbers((t, df) => 2 * distributions.tUpperTail(t, df)),
  tUpperQuantile: onNumbers(distributions.tUpperQuantile),
  chiSquareUpper: onNumbers(distributions.chiSquareUpperTail),
  chiSquareUpperQuantile: onNumbers(distributions.chiSquareUpperQuantile),
  fUpperQuantile: onNumbers(distributions.fUpperQuantile),
  betaLower: onNumbers(distributions.betaLowerTail),
  betaLowerQuantile: onNumbers(distributions.betaLowerQuantile),
  noncentralTLower: onNumbers(distributions.noncentralTLowerTail),
  noncentralTUpper: onNumbers(distributions.noncentralTUpperTail),
});

/** Passes a row of plain numbers to a function of one to three of them. */
function onNumbers(f: (a: number, b: number, c: number) => number): Quantity {
  return (...row) => {
    const [a = Number.NaN, b = Number.NaN, c = Number.NaN] = numbersOf(row);
    return f(a, b, c);
  };
}
