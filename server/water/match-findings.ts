import { conductivity } from "../../src/water/conductivity.ts";
import { alkalinity, hardness, type Ions, ionNames } from "../../src/water/ions.ts";
import { sameRecipe } from "../../src/water/match-plan.ts";
import type { Match } from "../../src/water/matching.ts";
import type { Agreement, IonMismatch, Mismatch, Verdict } from "../../src/water/mismatch.ts";
import { signless, threeDigits } from "./amounts.ts";
import type { MatchRequest } from "./match-plan.ts";

export const verdictWords: Readonly<Record<Verdict, string>> = {
  passes: "passes",
  fails: "fails",
  "not-demonstrated": "matching not demonstrated",
};

/** The mismatch of the way that was chosen. */
export function chosenMismatch({ way }: MatchRequest, match: Match): Mismatch {
  if (way === "one-stock" && match.oneStock !== null) return match.oneStock.mismatch;
  if (way === "double-dummy" && match.doubleDummy !== null) return match.doubleDummy.mismatch;
  return match.mismatch;
}

/** Arms that are to differ are judged by how far they are from the difference that is meant. */
export function judged({ plan }: MatchRequest, found: Mismatch): Agreement {
  return sameRecipe(plan) ? found : found.fromIntention;
}

export interface VerdictView {
  code: Verdict;
  headline: string;
  sentence: string;
}

export function verdictView(request: MatchRequest, found: Mismatch): VerdictView {
  const verdict = judged(request, found);
  const { tolerancePercent } = request.plan;
  const numbers =
    `largest mismatch ${percent(verdict.percent)}, largest expanded uncertainty ` +
    `(k = 2) ${percent(verdict.expandedUncertaintyPercent)}, tolerance ${tolerancePercent} %`;
  const sentences: Record<Verdict, string> = {
    passes: "Mismatch and uncertainty together stay within the tolerance",
    fails: "The cups differ by more than the tolerance, uncertainty allowed for",
    "not-demonstrated":
      "The uncertainty is too large to tell, so nothing may be claimed about matching",
  };
  return {
    code: verdict.verdict,
    headline: headlines[verdict.verdict],
    sentence: `${sentences[verdict.verdict]}: ${numbers}.`,
  };
}

const headlines: Readonly<Record<Verdict, string>> = {
  passes: "Passes: the two cups can be called matched",
  fails: "Fails: the two cups do not match",
  "not-demonstrated": "Matching not demonstrated",
};

export interface IonRow {
  ion: string;
  before: string;
  after: string;
  difference: string;
  expanded: string;
  percent: string;
  verdict: string;
  causes: string;
}

/** Each ion's added amounts, difference and uncertainty in mg/L, with the three largest causes. */
export function ionRows(request: MatchRequest, found: Mismatch): IonRow[] {
  return found.ions.map((ion) => {
    const agreement = sameRecipe(request.plan) ? ion : ion.fromIntention;
    return {
      ion: ion.ion,
      before: ion.before.toFixed(3),
      after: ion.after.toFixed(3),
      difference: signless(ion.milligramsPerLitre, 3),
      expanded: (2 * ion.standardUncertainty).toFixed(3),
      percent: `${percent(agreement.percent)} ± ${percent(agreement.expandedUncertaintyPercent)}`,
      verdict: verdictWords[agreement.verdict],
      causes: causes(ion),
    };
  });
}

function causes({ budget }: IonMismatch): string {
  return budget
    .slice(0, 3)
    .map((effect) => `${effect.source} ${threeDigits(Math.abs(effect.milligramsPerLitre))}`)
    .join(", ");
}

export interface WaterRow {
  name: string;
  cells: string[];
}

/** Ions, hardness, alkalinity and conductivity of base water, brew water and both cups. */
export function waterRows({ plan }: MatchRequest, match: Match): WaterRow[] {
  const waters = [plan.baseIons, match.brewWater, match.predicted.before, match.predicted.after];
  const row = (name: string, value: (ions: Ions) => number) => ({
    name,
    cells: waters.map((ions) => value(ions).toFixed(1)),
  });
  const present = ionNames.filter((ion) => waters.some((ions) => (ions[ion] ?? 0) > 0));
  return [
    ...present.map((ion) => row(`${ion}, mg/L`, (ions) => ions[ion] ?? 0)),
    row("hardness, mg/L as CaCO3", (ions) => hardness(ions).total),
    row("alkalinity, mg/L as CaCO3", alkalinity),
    row("conductivity at 25 °C, µS/cm", (ions) => conductivity(ions, 25)),
  ];
}

/** A percentage, or words where there is nothing to take one of. */
export function percent(value: number | null): string {
  return value === null ? "without limit" : `${signless(value, 2)} %`;
}
