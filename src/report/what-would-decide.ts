import { isRightOrWrong } from "../experiment/endpoint.ts";
import type { Plan } from "../experiment/plan.ts";
import { gridOf } from "../statistics/decimals.ts";
import { moments } from "../statistics/descriptive.ts";
import { tUpperQuantile } from "../statistics/distributions.ts";
import type { CoffeeFinding } from "./coffee-finding.ts";
import type { EndpointFinding, WhatWouldDecide } from "./endpoint-finding.ts";
import { equivalenceSize } from "./planning/equivalence-power.ts";
import { countedPanel } from "./planning/panel-counts.ts";
import { scoredPanel, yieldPanel } from "./planning/panel-spreads.ts";
import type { PanelNeeds, PanelShape } from "./planning/panel-test.ts";

/** Four times in five. */
export const USUAL_POWER = 0.8;

/**
 * How much more would decide an endpoint that is inconclusive, or whose process claim is open: from
 * the margin and, for scores and yields, the spread seen; never from the effect seen. Null when both
 * are settled.
 */
export function whatWouldDecide(finding: EndpointFinding, plan: Plan): WhatWouldDecide | null {
  const settled = finding.state !== "inconclusive" && finding.process.status === "shown";
  if (settled) return null;
  return {
    power: USUAL_POWER,
    ...moreTasters(finding, plan),
    ...moreBrewPairs(finding, plan),
  };
}

type TasterNeeds = Pick<WhatWouldDecide, "moreTastersToFind" | "moreTastersToPass">;

function moreTasters(finding: EndpointFinding, plan: Plan): TasterNeeds {
  if (finding.kind === "extraction-yield") {
    return { moreTastersToFind: null, moreTastersToPass: null };
  }
  const needs = finding.unit === "scale-points" ? scorers(finding, plan) : pickers(finding, plan);
  const more = (tasters: number | null) =>
    tasters === null ? null : Math.max(0, tasters - finding.counts.tasters);
  return { moreTastersToFind: more(needs.toFind), moreTastersToPass: more(needs.toPass) };
}

interface Needed {
  toFind: number | null;
  toPass: number | null;
}

/** As a panel of the same shape is planned: people where tasters repeat, and not answers. */
function pickers(finding: EndpointFinding, plan: Plan): Needed {
  const { difference, margin } = finding;
  const choice = {
    method: finding.method ?? "paired-comparison",
    sides: difference.sides,
    matters: margin.margin,
  } as const;
  const find = countedPanel(choice, { ...shapeOf(plan), alpha: difference.level });
  const pass = countedPanel(choice, { ...shapeOf(plan), alpha: margin.level });
  return {
    toFind: enough(find.difference.needed(USUAL_POWER)),
    toPass: enough(pass.closenessAt(margin.margin, plan.coffees.length).needed(USUAL_POWER)),
  };
}

/** From where on the chance never falls below again, where that is known. */
function enough(needs: PanelNeeds | null): number | null {
  return needs && (needs.stable ?? needs.smallest);
}

function scorers(finding: EndpointFinding, plan: Plan): Needed {
  const { margin, level } = finding.margin;
  const needs = (sd: number, alpha: number) =>
    scoredPanel({ points: margin, sd }, { ...shapeOf(plan), alpha });
  const sd = finding.companions.standardDeviation;
  const find = sd ? needs(sd, finding.difference.level).difference : null;
  const widest = Math.max(0, ...finding.coffees.map(spreadOf));
  const pass = widest > 0 ? needs(widest, level).closenessAt(margin, plan.coffees.length) : null;
  return {
    toFind: find && enough(find.needed(USUAL_POWER)),
    toPass: pass && enough(pass.needed(USUAL_POWER)),
  };
}

/** The panel as the plan serves it; risks belong to each test. */
function shapeOf(plan: Plan): Omit<PanelShape, "alpha"> {
  const { tasters, coffees, brewPairsPerCoffee, replicates } = plan;
  return { tasters, coffees: coffees.length, brewPairsPerCoffee, replicates };
}

/** The standard deviation behind a coffee's t interval; 0 where there is none. */
function spreadOf({ estimate, counts }: CoffeeFinding): number {
  if (!estimate || estimate.upper === null || counts.tasters < 2) return 0;
  const t = tUpperQuantile((1 - estimate.confidence) / 2, counts.tasters - 1);
  return ((estimate.upper - estimate.value) / t) * Math.sqrt(counts.tasters);
}

type PairNeeds = Omit<WhatWouldDecide, "power" | keyof TasterNeeds>;

function moreBrewPairs(finding: EndpointFinding, plan: Plan): PairNeeds {
  const { process, margin, unit } = finding;
  const more = (pairs: number | null) =>
    pairs === null ? null : Math.max(0, pairs - process.pairs);
  const sd = isRightOrWrong(finding) ? null : pairSpread(process.pairList, unit);
  const pots = { ...shapeOf(plan), alpha: plan.alpha };
  const find = sd ? yieldPanel({ points: margin.margin, sd }, pots).difference : null;
  const toPass =
    sd && unit === "yield-points"
      ? equivalenceSize({ margin: margin.margin, sd, alpha: margin.level }, USUAL_POWER)
      : null;
  return {
    moreBrewPairsForAnyClaim: more(process.pairsForAnyClaim),
    moreBrewPairsToFind: find && more(enough(find.needed(USUAL_POWER))),
    moreBrewPairsToPass: more(toPass),
  };
}

function pairSpread(
  pairs: EndpointFinding["process"]["pairList"],
  unit: EndpointFinding["unit"],
): number | null {
  const tests = pairs.filter(({ controlPair }) => !controlPair);
  if (tests.length < 2) return null;
  const factor = unit === "lean" ? 2 : 1;
  const { standardDeviation } = moments(gridOf(tests.map(({ value }) => value)));
  return standardDeviation === null ? null : factor * standardDeviation;
}
