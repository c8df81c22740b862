import type { Endpoint } from "../../src/experiment/endpoint.ts";
import type { Plan } from "../../src/experiment/plan.ts";
import {
  differenceChance,
  type PlannedChoice,
} from "../../src/report/planning/difference-chance.ts";
import type { DifferenceOutlook } from "../../src/report/planning/outlook.ts";
import { tryTasters } from "../../src/report/planning/try-tasters.ts";
import { pairedSize } from "../../src/statistics/paired.ts";
import { panelSize } from "../../src/statistics/panel-size.ts";

/**
 * How many tasters (brew pairs for yield), each answering as the plan says, find a difference as
 * large as the margin with the power wanted and from then on never with less: `14 tasters`. Null
 * when no number does.
 */
export function panelNeeded(
  plan: Plan,
  endpoint: Endpoint,
  difference: DifferenceOutlook,
  power: number,
): string | null {
  const { level, sides, assumedSd } = difference;
  if (endpoint.kind === "attribute-score" || endpoint.kind === "extraction-yield") {
    const size = assumedSd === null ? null : pairedSize(endpoint.margin, assumedSd, power, level);
    const unit = endpoint.kind === "extraction-yield" ? "brew pairs" : "tasters";
    return size && `${size.pairs} ${unit}`;
  }
  const each = plan.coffees.length * plan.brewPairsPerCoffee * plan.replicates;
  const method = endpoint.kind === "overall-difference" ? "triangle" : "paired-comparison";
  const choice = { method, sides, alpha: level, answersEach: each } as const;
  const needs =
    each === 1
      ? stablePanel(choice, endpoint.margin, power)
      : tryTasters((tasters) => differenceChance({ ...choice, tasters }, endpoint.margin) >= power);
  return needs === null ? null : `${needs.stable ?? needs.smallest} tasters`;
}

function stablePanel(
  choice: Pick<PlannedChoice, "method" | "sides" | "alpha">,
  margin: number,
  power: number,
) {
  const effect = { proportionDistinguishing: margin };
  const size = panelSize({ ...choice, goal: "difference", power, effect });
  return size && { smallest: size.assessments, stable: size.stableAssessments };
}
