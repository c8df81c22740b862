import type { z } from "zod";
import { type BrewRecord, brewRecordSchema } from "./brew-log.ts";
import { numberFrom, secondsFrom } from "./typed-number.ts";

/** A pot as the brew log knows it: by coffee and letter, with the blind label of its water. */
export interface LoggablePot {
  coffeeId: string;
  coffeeName: string;
  letter: string;
  waterLabel: string;
  brewer: string;
  /** A brew of this pot is in the log already. */
  logged: boolean;
}

/** The columns of a brew sheet in order: heading, and what goes in it. */
export const brewSheetColumns = {
  coffee: "name of the coffee",
  pot: "pot letter",
  water_label: "label on the water container",
  brewer: "who or what brewed",
  dose_g: "dry coffee, g",
  brew_water_g: "water poured, g",
  beverage_g: "beverage before any addition, g",
  brew_s: "brew time, as seconds or as minutes and seconds: 185 or 3:05",
  tds_percent: "strength readings, % TDS, with a space between them",
  sample: "before-addition, after-addition or no-addition",
  added_g: "mass added to the beverage, g",
  zero: "refractometer zeroed on: pure-water, brew-water or not-zeroed",
  held_min: "minutes from brewing to pouring",
  served_c: "temperature in the cup when served, °C",
  note: "anything to remember",
} as const;
export type BrewSheetColumn = keyof typeof brewSheetColumns;

/** One brew as it was typed, by column. */
export type BrewRow = Readonly<Partial<Record<BrewSheetColumn, string>>>;

export interface RowProblem {
  column: BrewSheetColumn;
  message: string;
}

export type RowOutcome = { ok: true; brew: BrewRecord } | { ok: false; problems: RowProblem[] };

/**
 * Reads one typed brew. Every bad cell is named with what to do about it; a pot that the session
 * doesn't have, a water label of another pot and a number that isn't one are bad cells.
 */
export function readBrewRow(row: BrewRow, pots: readonly LoggablePot[]): RowOutcome {
  const text = (column: BrewSheetColumn) => (row[column] ?? "").trim();
  const pot = findPot(text("coffee"), text("pot"), pots);
  const problems: RowProblem[] = pot.ok
    ? labelProblems(text("water_label"), pot.pot)
    : [pot.problem];
  const number = (column: BrewSheetColumn, whenEmpty: number | null = null) =>
    readNumber(text(column), column, whenEmpty, problems);
  const optionalNumber = (column: BrewSheetColumn) =>
    text(column) === "" ? undefined : (number(column) ?? undefined);
  const candidate = {
    coffeeId: pot.ok ? pot.pot.coffeeId : "",
    potLetter: pot.ok ? pot.pot.letter : "X",
    waterLabel: text("water_label"),
    brewer: text("brewer"),
    doseGrams: number("dose_g"),
    brewWaterGrams: number("brew_water_g"),
    beverageGrams: number("beverage_g"),
    brewSeconds: number("brew_s"),
    tdsReadingsPercent: readReadings(text("tds_percent"), problems),
    sampleTiming: text("sample") || "no-addition",
    addedGrams: number("added_g", 0),
    refractometerZero: text("zero") || undefined,
    heldMinutes: optionalNumber("held_min"),
    servedCelsius: optionalNumber("served_c"),
    note: text("note"),
  };
  const parsed = brewRecordSchema.safeParse(candidate);
  if (!parsed.success) problems.push(...schemaProblems(parsed.error, problems));
  if (parsed.success && problems.length === 0) return { ok: true, brew: parsed.data };
  return { ok: false, problems };
}

/** The row of a brew, for a form that shows it again or a sheet that is filled in. */
export function rowOfBrew(brew: BrewRecord, coffeeName: string): Record<BrewSheetColumn, string> {
  return {
    coffee: coffeeName,
    pot: brew.potLetter,
    water_label: brew.waterLabel,
    brewer: brew.brewer,
    dose_g: String(brew.doseGrams),
    brew_water_g: String(brew.brewWaterGrams),
    beverage_g: String(brew.beverageGrams),
    brew_s: String(brew.brewSeconds),
    tds_percent: brew.tdsReadingsPercent.join(" "),
    sample: brew.sampleTiming,
    added_g: String(brew.addedGrams),
    zero: brew.refractometerZero ?? "",
    held_min: String(brew.heldMinutes ?? ""),
    served_c: String(brew.servedCelsius ?? ""),
    note: brew.note,
  };
}

function findPot(
  coffee: string,
  letter: string,
  pots: readonly LoggablePot[],
): { ok: true; pot: LoggablePot } | { ok: false; problem: RowProblem } {
  const ofCoffee = pots.filter((pot) => sameName(pot.coffeeName, coffee));
  if (ofCoffee.length === 0) {
    const names = [...new Set(pots.map((pot) => pot.coffeeName))].join(", ");
    const message = `No coffee of this session is called “${coffee}”; use one of ${names}`;
    return { ok: false, problem: { column: "coffee", message } };
  }
  const pot = ofCoffee.find((candidate) => sameName(candidate.letter, letter));
  if (pot !== undefined) return { ok: true, pot };
  const letters = ofCoffee.map((candidate) => candidate.letter).join(", ");
  const message = `${coffee} has no pot “${letter}”; its pots are ${letters}`;
  return { ok: false, problem: { column: "pot", message } };
}

function labelProblems(label: string, pot: LoggablePot): RowProblem[] {
  if (label === "" || sameName(label, pot.waterLabel)) return [];
  const message = `Pot ${pot.letter} belongs to water ${pot.waterLabel}, not “${label}”; find out which water it got before you go on`;
  return [{ column: "water_label", message }];
}

function readNumber(
  text: string,
  column: BrewSheetColumn,
  whenEmpty: number | null,
  problems: RowProblem[],
): number | null {
  if (text === "" && whenEmpty !== null) return whenEmpty;
  const isTime = column === "brew_s";
  const number = isTime ? secondsFrom(text) : numberFrom(text);
  if (number === null) {
    const wanted = isTime ? "no time; write seconds, or minutes and seconds: 3:05" : "not a number";
    const message = text === "" ? "Fill this in" : `“${text}” is ${wanted}`;
    problems.push({ column, message });
  }
  return number;
}

function readReadings(text: string, problems: RowProblem[]): number[] {
  const parts = text.split(/[\s;/]+/).filter((part) => part !== "");
  const readings = parts.map(numberFrom);
  const bad = parts.find((_, index) => readings[index] === null);
  if (parts.length === 0)
    problems.push({ column: "tds_percent", message: "Give at least one reading" });
  if (bad !== undefined) {
    problems.push({ column: "tds_percent", message: `“${bad}” is not a number` });
  }
  return readings.filter((reading) => reading !== null);
}

const columnOfField: Record<keyof BrewRecord, BrewSheetColumn> = {
  coffeeId: "coffee",
  potLetter: "pot",
  waterLabel: "water_label",
  brewer: "brewer",
  doseGrams: "dose_g",
  brewWaterGrams: "brew_water_g",
  beverageGrams: "beverage_g",
  brewSeconds: "brew_s",
  tdsReadingsPercent: "tds_percent",
  sampleTiming: "sample",
  addedGrams: "added_g",
  refractometerZero: "zero",
  heldMinutes: "held_min",
  servedCelsius: "served_c",
  note: "note",
};

/** What the schema found beyond the cells already named. */
function schemaProblems(error: z.ZodError, known: readonly RowProblem[]): RowProblem[] {
  const named = new Set(known.map((problem) => problem.column));
  return error.issues.flatMap((issue) => {
    const field = brewRecordSchema.keyof().safeParse(issue.path[0]);
    const column = field.success ? columnOfField[field.data] : "note";
    if (named.has(column)) return [];
    named.add(column);
    return [{ column, message: messageFor(column, issue.message) }];
  });
}

function messageFor(column: BrewSheetColumn, message: string): string {
  if (column === "sample") return "Write before-addition, after-addition or no-addition";
  return column === "zero" ? "Write pure-water, brew-water or not-zeroed" : message;
}

function sameName(one: string, other: string): boolean {
  return one.trim().toLowerCase() === other.trim().toLowerCase();
}
