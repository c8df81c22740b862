import {
  type CupIon,
  cupBrewedWith,
  cupDosedAfter,
  type DosedBottle,
  type Passage,
} from "./cup.ts";
import { type Difference, difference } from "./difference.ts";
import { type IonName, ionNames } from "./ions.ts";
import { type MatchPlan, transferOf } from "./match-plan.ts";
import { pureIons } from "./match-recipe.ts";
import type { Mixture } from "./mixture.ts";
import { instrumentsOf } from "./realised.ts";

/** Passes, fails, or can't be told with these instruments and this knowledge of the transfer. */
export type Verdict = "passes" | "fails" | "not-demonstrated";

export interface Agreement {
  /** How far apart, percent; null where there is nothing to take a percentage of. */
  percent: number | null;
  /** k = 2 */
  expandedUncertaintyPercent: number | null;
  verdict: Verdict;
}

/** One ion: `percent` is before less after in percent of after, signed. */
export interface IonMismatch extends Difference, Agreement {
  ion: IonName;
  before: number;
  after: number;
  /** The difference less the one that the two recipes intend, in percent of the stronger recipe. */
  fromIntention: Agreement;
}

/** All ions: the largest |percent| and the largest uncertainty of any target ion. */
export interface Mismatch extends Agreement {
  passes: boolean;
  /** Whether the cups came out as the two recipes intend, be they alike or not. */
  fromIntention: Agreement;
  ions: IonMismatch[];
}

/** How the mineral brew water is made: salts weighed into it, or bottles dosed into base water. */
export type BrewWater =
  | { batch: Mixture }
  | { bottles: readonly DosedBottle[]; millilitres: number };

/**
 * Mismatch of the two cups' added ions with its uncertainty, decided against the plan's tolerance:
 * passes when |mismatch| + U ≤ tolerance, fails when |mismatch| − U ≥ tolerance, and is not
 * demonstrated in between.
 * Source: guarded acceptance, JCGM 106:2012; coverage factor 2, JCGM 100:2008.
 */
export function mismatch(
  plan: MatchPlan,
  water: BrewWater,
  bottles: readonly DosedBottle[],
  passage: Omit<Passage, "transfer">,
): Mismatch {
  const instruments = instrumentsOf(plan);
  const afterBeverage = plan.weighed.beverageGrams?.after ?? plan.beverageGrams;
  const recipes = { before: pureIons(plan.salts), after: pureIons(plan.afterSalts) };
  const targets = ionNames.filter(
    (ion) => (recipes.before[ion] ?? 0) + (recipes.after[ion] ?? 0) > 0,
  );
  const ions = targets.map((ion) => {
    const transfer = transferOf(plan.transfer, ion, 1);
    const before = cupBrewedWith(ion, water, { ...passage, transfer }, instruments);
    const after = cupDosedAfter(ion, bottles, afterBeverage, instruments);
    const intended = { before: recipes.before[ion] ?? 0, after: recipes.after[ion] ?? 0 };
    return ionMismatch(ion, { before, after, intended }, plan.tolerancePercent);
  });
  const overall = summarise(ions, plan.tolerancePercent);
  const intentions = ions.map((ion) => ion.fromIntention);
  return {
    ...overall,
    passes: overall.verdict === "passes",
    fromIntention: summarise(intentions, plan.tolerancePercent),
    ions,
  };
}

function ionMismatch(
  ion: IonName,
  cups: { before: CupIon; after: CupIon; intended: { before: number; after: number } },
  tolerancePercent: number,
): IonMismatch {
  const { before, after, intended } = cups;
  const apart = difference(before, after);
  const expanded = 2 * apart.standardUncertainty;
  const unintended = apart.milligramsPerLitre - (intended.before - intended.after);
  const stronger = Math.max(intended.before, intended.after);
  const reference = after.milligramsPerLitre;
  return {
    ...apart,
    ...agreement(apart.milligramsPerLitre, expanded, reference, tolerancePercent),
    ion,
    before: before.milligramsPerLitre,
    after: reference,
    fromIntention: agreement(unintended, expanded, stronger, tolerancePercent),
  };
}

function agreement(
  apart: number,
  expanded: number,
  reference: number,
  tolerancePercent: number,
): Agreement {
  const percentOf = (amount: number) => finiteOrNull((100 * amount) / reference);
  const [percent, expandedUncertaintyPercent] = [percentOf(apart), percentOf(expanded)];
  const verdict = verdictOf(percent, expandedUncertaintyPercent, tolerancePercent);
  return { percent, expandedUncertaintyPercent, verdict };
}

function finiteOrNull(value: number): number | null {
  return Number.isFinite(value) ? value : null;
}

function summarise(each: readonly Agreement[], tolerancePercent: number): Agreement {
  const percent = largest(each.map((ion) => (ion.percent === null ? null : Math.abs(ion.percent))));
  const expandedUncertaintyPercent = largest(each.map((ion) => ion.expandedUncertaintyPercent));
  const verdict = verdictOf(percent, expandedUncertaintyPercent, tolerancePercent);
  return { percent, expandedUncertaintyPercent, verdict };
}

function verdictOf(
  percent: number | null,
  expanded: number | null,
  tolerancePercent: number,
): Verdict {
  // Minerals in the before cup alone: no tolerance in percent of nothing.
  if (percent === null || expanded === null) return "fails";
  const apart = Math.abs(percent);
  const rounding = 1e-9;
  if (apart + expanded <= tolerancePercent + rounding) return "passes";
  return apart - expanded >= tolerancePercent ? "fails" : "not-demonstrated";
}

/** The largest, null when any is: a cup without the ion is infinitely far in percent. */
function largest(values: readonly (number | null)[]): number | null {
  return values.reduce((most, value) => {
    return most === null || value === null ? null : Math.max(most, value);
  }, 0);
}
