import { extraction } from "../../src/brew/extraction.ts";
import type { CellProblem } from "../../src/experiment/brew-import.ts";
import type { BrewRecord } from "../../src/experiment/brew-log.ts";
import type { LoggablePot } from "../../src/experiment/brew-sheet.ts";
import { coffeeName, type Plan } from "../../src/experiment/plan.ts";
import type { PotOnLog } from "../store/brews.ts";

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
    logged: pot.brew !== null,
    ...(pot.brew === null ? nothingLogged : figures(pot.brew)),
  }));
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
    time: `${Math.floor(brew.brewSeconds / 60)}:${String(Math.round(brew.brewSeconds % 60)).padStart(2, "0")}`,
    strength: `${mean.toFixed(2)} %`,
    extraction: describeExtraction(brew),
  };
}

/**
 * Extraction as it can be said while the session is blind: from the reading as taken, undone of
 * dilution. Minerals in the reading differ by treatment and come off only in the report.
 */
export function describeExtraction(brew: BrewRecord): string {
  const result = extraction({
    kind: "percolation",
    doseGrams: brew.doseGrams,
    beverageGrams: brew.beverageGrams,
    readingsPercent: brew.tdsReadingsPercent,
    brewWaterGrams: brew.brewWaterGrams,
    addedMillilitres: brew.sampleTiming === "after-addition" ? brew.addedGrams : 0,
  });
  if (!result.ok) return "not computable; check masses and readings";
  return `${result.extractionPercent.toFixed(2)} ± ${result.standardUncertainty.toFixed(2)} %`;
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
