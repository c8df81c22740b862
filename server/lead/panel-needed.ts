import type { Endpoint } from "../../src/experiment/endpoint.ts";
import type { Plan } from "../../src/experiment/plan.ts";
import type { DifferenceOutlook } from "../../src/report/planning/outlook.ts";
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
  const size = panelSize({
    method: endpoint.kind === "overall-difference" ? "triangle" : "paired-comparison",
    sides,
    goal: "difference",
    alpha: level,
    power,
    effect: { proportionDistinguishing: endpoint.margin },
  });
  if (size === null) return null;
  const each = plan.coffees.length * plan.brewPairsPerCoffee * plan.replicates;
  return `${Math.ceil((size.stableAssessments ?? size.assessments) / each)} tasters`;
}
