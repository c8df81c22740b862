import { type Endpoint, methodOf } from "../../src/experiment/endpoint.ts";
import type { Plan } from "../../src/experiment/plan.ts";
import type { DifferenceOutlook } from "../../src/report/planning/outlook.ts";
import { countedPanel } from "../../src/report/planning/panel-counts.ts";
import { scoredPanel, yieldPanel } from "../../src/report/planning/panel-spreads.ts";
import type { PanelTest } from "../../src/report/planning/panel-test.ts";

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
  const test = testOf(plan, endpoint, difference);
  const needs = test?.difference.needed(power);
  if (!test || !needs) return null;
  const unit = test.unit === "brew-pair" ? "brew pairs" : "tasters";
  return `${needs.stable ?? needs.smallest} ${unit}`;
}

function testOf(
  plan: Plan,
  endpoint: Endpoint,
  { level: alpha, sides, assumedSd }: DifferenceOutlook,
): PanelTest | null {
  const { kind, margin } = endpoint;
  const { tasters, brewPairsPerCoffee, replicates } = plan;
  const shape = { alpha, tasters, coffees: plan.coffees.length, brewPairsPerCoffee, replicates };
  if (endpoint.kind === "attribute-score" || endpoint.kind === "extraction-yield") {
    if (assumedSd === null) return null;
    const spread = { points: margin, sd: assumedSd };
    return kind === "extraction-yield" ? yieldPanel(spread, shape) : scoredPanel(spread, shape);
  }
  return countedPanel({ method: methodOf(endpoint), sides, matters: margin }, shape);
}
