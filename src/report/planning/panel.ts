import { power } from "../../statistics/panel-size.ts";
import { varyingPots } from "./false-alarms.ts";
import { type OtherMethods, otherMethods } from "./other-methods.ts";
import { type FalseAlarmOutlook, type ProcessOutlook, USUAL_SPREADS } from "./outlook.ts";
import { isTriangle, panelTest, sidesOf } from "./panel-method.ts";
import type { PanelClaim, PanelDesign, PanelTest } from "./panel-test.ts";
import { processChances } from "./process.ts";

/** What a question takes, and what the panel at hand can and cannot show. */
export interface PanelForecast {
  unit: PanelTest["unit"];
  /** The claim that the question is after. */
  goal: "difference" | "closeness";
  /** The size that matters: a share of people who can tell, or points. */
  matters: number;
  /** Null when no size that is searched reaches the power; `stable` when none is known. */
  needed: { smallest: PanelRow; stable: PanelRow | null } | null;
  have: PanelRow;
  difference: {
    criticalCount: number | null;
    chance: number;
    /** Found with the power wanted; null when even the largest isn't. */
    smallestEffect: number | null;
  };
  closeness: {
    /** How often coffees without any difference pass: one of them, and all as the claim needs. */
    passOne: number;
    passAll: number;
    coffees: number;
    /** The smallest margin that such coffees pass with the power wanted, on all. */
    smallestMargin: number | null;
  };
  process: ProcessOutlook;
  whenPotsVary: FalseAlarmOutlook["whenPotsVary"];
  /** What other methods take to find the same difference; for triangles. */
  otherMethods: OtherMethods | null;
  /** The chance of a triangle's difference if tasters who repeat were all alike; null otherwise. */
  chanceIfAlike: number | null;
  curve: { truth: number; have: number; needed: number | null }[];
}

export interface PanelRow {
  units: number;
  answers: number | null;
  decidingCount: number | null;
  /** Of the claim: with the effect that matters, or without any for closeness. */
  chance: number;
}

/**
 * Plans a panel: exact binomial for triangles and pairs, noncentral t and two one-sided t tests for
 * scores and yields on the spread given.
 */
export function panelForecast(design: PanelDesign): PanelForecast {
  const { question, power: wanted } = design;
  const test = panelTest(design);
  const goal = question.kind === "same" || question.kind === "yield" ? "closeness" : "difference";
  const { matters, coffeesHeldApart: coffees, have } = test;
  const closeness = test.closenessAt(matters, coffees);
  const claim = goal === "closeness" ? closeness : test.difference;
  const row = rowsOf(claim, goal === "closeness" ? 0 : matters);
  const needed = claim.needed(wanted);
  const proposed = needed === null ? null : (needed.stable ?? needed.smallest);
  return {
    unit: test.unit,
    goal,
    matters,
    needed: needed && {
      smallest: row(needed.smallest),
      stable: needed.stable === null ? null : row(needed.stable),
    },
    have: row(have),
    difference: {
      criticalCount: test.difference.decidingCount(have),
      chance: test.difference.chance(have, matters),
      smallestEffect: test.smallest((effect) => test.difference.chance(have, effect) >= wanted),
    },
    closeness: {
      passOne: test.closenessAt(matters, 1).chance(have, 0),
      passAll: closeness.chance(have, 0),
      coffees,
      smallestMargin: test.smallest(
        (margin) => test.closenessAt(margin, coffees).chance(have, 0) >= wanted,
      ),
    },
    process: processChances(isTriangle(question), design),
    whenPotsVary: potNoise(design),
    otherMethods: question.kind === "apart" ? otherMethods(question.noticing, design) : null,
    chanceIfAlike: question.kind === "apart" ? ifAlike(question.noticing, design) : null,
    curve: test.truths.map((truth) => ({
      truth,
      have: claim.chance(have, truth),
      needed: proposed === null ? null : claim.chance(proposed, truth),
    })),
  };
}

function rowsOf(claim: PanelClaim, truth: number) {
  return (units: number): PanelRow => ({
    units,
    answers: claim.answers(units),
    decidingCount: claim.decidingCount(units),
    chance: claim.chance(units, truth),
  });
}

function potNoise(design: PanelDesign): PanelForecast["whenPotsVary"] {
  const { question, alpha, tasters, replicates, coffees, brewPairsPerCoffee } = design;
  if (question.kind !== "more" && question.kind !== "liked") return null;
  // Repeated pairs are decided over tasters' sums, for which this isn't computed.
  if (coffees * brewPairsPerCoffee * replicates > 1) return null;
  return varyingPots({
    answersPerPair: tasters,
    pairs: 1,
    potSdLogit: USUAL_SPREADS.potSdLogit,
    level: alpha,
    sides: sidesOf(question),
  });
}

function ifAlike(noticing: number, design: PanelDesign): number | null {
  const { alpha, tasters, coffees, brewPairsPerCoffee, replicates } = design;
  const answersEach = coffees * brewPairsPerCoffee * replicates;
  if (answersEach === 1) return null;
  const effect = { proportionDistinguishing: noticing };
  return power({ method: "triangle", assessments: tasters * answersEach, alpha, effect }).power;
}
