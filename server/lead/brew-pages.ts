import { extraction } from "../../src/brew/extraction.ts";
import type { CellProblem } from "../../src/experiment/brew-import.ts";
import { type LimitBreach, limitBreaches } from "../../src/experiment/brew-limits.ts";
import type { BrewRecord } from "../../src/experiment/brew-log.ts";
import type { LoggablePot } from "../../src/experiment/brew-sheet.ts";
import { coffeeName, type Plan } from "../../src/experiment/plan.ts";
import type { PotOnLog } from "../store/brews.ts";
import { otherOfPair } from "./pot-at.ts";

/** A pot as the log page lists it; the yield checks the measurement and is never grouped. */
export interface LogRow {
  potId: string;
  coffee: string;
  letter: string;
  waterLabel: string;
  brewer: string;
  dose: string;
  water: string;
  beverage: string;
  time: string;
  strength: string;
  extraction: string;
  logged: boolean;
  rejected: string | null;
  /** What lies outside the sealed limits. */
  breaches: string[];
}

/** The pots of a log with what was logged and the extraction that follows from it. */
export function logRows(pots: readonly PotOnLog[], plan: Plan): LogRow[] {
  return pots.map((pot) => ({
    potId: pot.potId,
    coffee: coffeeName(plan, pot.coffeeId),
    letter: pot.letter,
    waterLabel: pot.waterLabel,
    brewer: pot.brew?.brewer ?? pot.plannedBrewer,
    rejected: pot.rejected,
    breaches: breachesOf(pot, pots, plan).map(({ finding }) => finding),
    logged: pot.brew !== null,
    ...(pot.brew === null ? nothingLogged : figures(pot.brew)),
  }));
}

/** What of a logged pot lies outside the plan's limits, its pair's other pot beside it. */
export function breachesOf(pot: PotOnLog, pots: readonly PotOnLog[], plan: Plan): LimitBreach[] {
  if (pot.brew === null) return [];
  return limitBreaches(pot.brew, otherOfPair({ pots, pot })?.brew ?? null, plan);
}

const nothingLogged = { dose: "", water: "", beverage: "", time: "", strength: "", extraction: "" };

function figures(brew: BrewRecord) {
  const mean =
    brew.tdsReadingsPercent.reduce((sum, reading) => sum + reading, 0) /
    brew.tdsReadingsPercent.length;
  return {
    dose: `${brew.doseGrams} g`,
    water: `${brew.brewWaterGrams} g`,
    beverage: `${brew.beverageGrams} g`,
    time: clockTime(Math.round(brew.brewSeconds)),
    strength: `${mean.toFixed(2)} %`,
    extraction: describeExtraction(brew),
  };
}

/** `3:05`, as the form and the sheet take it too. */
function clockTime(seconds: number): string {
  return `${Math.floor(seconds / 60)}:${String(seconds % 60).padStart(2, "0")}`;
}

/**
 * Extraction as it can be said while the session is blind: from the reading as taken, undone of
 * dilution. Minerals in the reading differ by treatment and come off only in the report.
 */
export function describeExtraction(brew: BrewRecord): string {
  const result = blindExtraction(brew);
  if (!result.ok) return "not computable; check masses and readings";
  return `${result.extractionPercent.toFixed(2)} ± ${result.standardUncertainty.toFixed(2)} %`;
}

/** Extraction from the reading as it was taken, minerals and all. */
export function blindExtraction(brew: BrewRecord) {
  return extraction({
    kind: "percolation",
    doseGrams: brew.doseGrams,
    beverageGrams: brew.beverageGrams,
    readingsPercent: brew.tdsReadingsPercent,
    brewWaterGrams: brew.brewWaterGrams,
    addedMillilitres: brew.sampleTiming === "after-addition" ? brew.addedGrams : 0,
  });
}

/** The pots as a typed brew is checked against. */
export function loggablePots(pots: readonly PotOnLog[], plan: Plan): LoggablePot[] {
  return pots.map((pot) => ({
    coffeeId: pot.coffeeId,
    coffeeName: coffeeName(plan, pot.coffeeId),
    letter: pot.letter,
    waterLabel: pot.waterLabel,
    brewer: pot.plannedBrewer,
    logged: pot.brew !== null,
  }));
}

/** A problem of an import as one line of the preview. */
export function problemPlace(problem: CellProblem): string {
  return problem.column === "" ? `Row ${problem.row}` : `Row ${problem.row}, ${problem.column}`;
}
