import {
  discriminationTest,
  dPrimeOf,
  methods,
  proportionDistinguishing,
} from "../../src/statistics/discrimination.ts";
import { panelSize } from "../../src/statistics/panel-size.ts";
import { methodOf, numberOf } from "./arguments.ts";
import { testPublished } from "./published-checks.ts";

testPublished("psychometric.json", {
  proportionCorrect: (method, d) => methods[methodOf(method)].proportionCorrect(numberOf(d)),
  proportionDistinguishingAt: (method, d) => {
    const { guessing, proportionCorrect } = methods[methodOf(method)];
    return proportionDistinguishing(proportionCorrect(numberOf(d)), guessing);
  },
  dPrime: (method, pc) => dPrimeOf(methodOf(method), numberOf(pc)),
  dPrimeEstimate: (...row) => dPrimeAt(row).estimate,
  dPrimeLower: (...row) => dPrimeAt(row).lower,
  dPrimeUpper: (...row) => dPrimeAt(row).upper,
  sizeRatio: (method, other, d, power) => sizeAt(method, d, power) / sizeAt(other, d, power),
});

function dPrimeAt([method, assessments, correct]: unknown[]) {
  return discriminationTest({
    method: methodOf(method),
    assessments: numberOf(assessments),
    correct: numberOf(correct),
  }).dPrime;
}

function sizeAt(method: unknown, d: unknown, power: unknown): number {
  const size = panelSize({
    method: methodOf(method),
    goal: "difference",
    power: numberOf(power),
    effect: { dPrime: numberOf(d) },
  });
  return size?.assessments ?? Number.NaN;
}
