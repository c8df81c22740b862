import type { Plan } from "../experiment/plan.ts";
import { gridOf } from "../statistics/decimals.ts";
import { moments } from "../statistics/descriptive.ts";
import { tUpperQuantile } from "../statistics/distributions.ts";
import { pairedSize } from "../statistics/paired.ts";
import { panelSize } from "../statistics/panel-size.ts";
import type { CoffeeFinding } from "./coffee-finding.ts";
import type { EndpointFinding, WhatWouldDecide } from "./endpoint-finding.ts";
import { equivalenceSize } from "./planning/equivalence-power.ts";

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

/** Answers needed by exact binomial, divided by what one taster answers. */
function pickers(finding: EndpointFinding, plan: Plan): Needed {
  const method = finding.unit === "distinguishers" ? "triangle" : "paired-comparison";
  const effect = { proportionDistinguishing: finding.margin.margin };
  const perCoffee = plan.brewPairsPerCoffee * plan.replicates;
  const { level, sides } = finding.difference;
  const find = panelSize({
    method,
    sides,
    goal: "difference",
    alpha: level,
    power: USUAL_POWER,
    effect,
  });
  const pass = panelSize({
    method,
    goal: "similarity",
    alpha: finding.margin.level,
    power: onEvery(plan),
    effect,
  });
  return {
    toFind: tastersFor(find, perCoffee * plan.coffees.length),
    toPass: tastersFor(pass, perCoffee),
  };
}

function tastersFor(size: ReturnType<typeof panelSize>, answersEach: number): number | null {
  if (size === null) return null;
  return Math.ceil((size.stableAssessments ?? size.assessments) / answersEach);
}

/** Each coffee must pass; with independent coffees all do so with the usual power. */
const onEvery = (plan: Plan) => USUAL_POWER ** (1 / plan.coffees.length);

function scorers(finding: EndpointFinding, plan: Plan): Needed {
  const { margin, level: alpha } = finding.margin;
  const sd = finding.companions.standardDeviation;
  const find = sd ? pairedSize(margin, sd, USUAL_POWER, finding.difference.level) : null;
  const widest = Math.max(0, ...finding.coffees.map(spreadOf));
  return {
    toFind: find?.pairs ?? null,
    toPass: widest > 0 ? equivalenceSize({ margin, sd: widest, alpha }, onEvery(plan)) : null,
  };
}

/** The standard deviation behind a coffee's t interval; 0 where there is none. */
function spreadOf({ estimate, counts }: CoffeeFinding): number {
  if (!estimate || estimate.upper === null || counts.tasters < 2) return 0;
  const t = tUpperQuantile((1 - estimate.confidence) / 2, counts.tasters - 1);
  return ((estimate.upper - estimate.value) / t) * Math.sqrt(counts.tasters);
}

type PairNeeds = Omit<WhatWouldDecide, "power" | keyof TasterNeeds>;

function moreBrewPairs({ process, margin, unit }: EndpointFinding, plan: Plan): PairNeeds {
  const more = (pairs: number | null) =>
    pairs === null ? null : Math.max(0, pairs - process.pairs);
  const sd = unit === "distinguishers" ? null : pairSpread(process.pairList, unit);
  const find = sd ? pairedSize(margin.margin, sd, USUAL_POWER, plan.alpha) : null;
  const toPass =
    sd && unit === "yield-points"
      ? equivalenceSize({ margin: margin.margin, sd, alpha: margin.level }, USUAL_POWER)
      : null;
  return {
    moreBrewPairsForAnyClaim: more(process.pairsForAnyClaim),
    moreBrewPairsToFind: find
      ? more(Math.max(find.pairs, process.pairsForAnyClaim ?? find.pairs))
      : null,
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
