import { criticalCount, upperTail } from "../../src/statistics/binomial.ts";
import { panelSize, power } from "../../src/statistics/panel-size.ts";
import { methodOf, numberOf, sidesOf } from "./arguments.ts";
import { testPublished } from "./published-checks.ts";

testPublished("panel-sizes.json", {
  assessments: (...row) => sizeFor(row, "proportionDistinguishing")?.assessments ?? null,
  stableAssessments: (...row) =>
    sizeFor(row, "proportionDistinguishing")?.stableAssessments ?? null,
  assessmentsForDPrime: (...row) => sizeFor(row, "dPrime")?.assessments ?? null,
  stableAssessmentsForDPrime: (...row) => sizeFor(row, "dPrime")?.stableAssessments ?? null,
  reachesPower: (method, sides, alpha, target, pd, n) =>
    powerAt([method, sides, alpha, n, pd]).power >= numberOf(target) ? 1 : 0,
  power: (...row) => powerAt(row).power,
  achievedAlpha: (...row) => powerAt(row).achievedAlpha,
  criticalCountAt: (n, p, alpha) => criticalCount(numberOf(n), numberOf(p), numberOf(alpha)),
  upperTail: (x, n, p) => upperTail(numberOf(x), numberOf(n), numberOf(p)),
});

function sizeFor(row: unknown[], scale: "proportionDistinguishing" | "dPrime") {
  const [method, sides, alpha, target, size] = row;
  const effect =
    scale === "dPrime" ? { dPrime: numberOf(size) } : { proportionDistinguishing: numberOf(size) };
  return panelSize({
    method: methodOf(method),
    sides: sidesOf(sides),
    goal: "difference",
    alpha: numberOf(alpha),
    power: numberOf(target),
    effect,
  });
}

function powerAt(row: unknown[]) {
  const [method, sides, alpha, n, pd] = row;
  return power({
    method: methodOf(method),
    sides: sidesOf(sides),
    assessments: numberOf(n),
    alpha: numberOf(alpha),
    effect: { proportionDistinguishing: numberOf(pd) },
  });
}
