import type { BrewRecord } from "./brew-log.ts";
import {
  type BrewRow,
  type BrewSheetColumn,
  brewSheetColumns,
  type LoggablePot,
  readBrewRow,
} from "./brew-sheet.ts";

/** A bad cell of a sheet: row as a person counts it (the heading is row 1). */
export interface CellProblem {
  row: number;
  column: string;
  message: string;
}

export type ImportOutcome =
  | { ok: true; brews: BrewRecord[] }
  | { ok: false; problems: CellProblem[] };

/** The columns that a sheet may leave out. */
const optionalColumns: readonly BrewSheetColumn[] = [
  "water_label",
  "sample",
  "added_g",
  "zero",
  "held_min",
  "served_c",
  "note",
];

/**
 * Reads a whole brew sheet, heading row first. All rows or none: any bad cell, unknown or missing
 * column, pot that stands twice or is in the log already is a problem that names its place.
 */
export function readBrewSheet(
  cells: readonly (readonly string[])[],
  pots: readonly LoggablePot[],
): ImportOutcome {
  const [heading, ...lines] = cells;
  if (heading === undefined) {
    return { ok: false, problems: [{ row: 1, column: "", message: "The sheet is empty" }] };
  }
  const columns = heading.map((name) => name.trim().toLowerCase());
  const headingProblems = checkHeading(columns);
  if (headingProblems.length > 0) return { ok: false, problems: headingProblems };
  if (lines.length === 0) {
    return {
      ok: false,
      problems: [{ row: 2, column: "", message: "There is no brew below the heading" }],
    };
  }
  const read = lines.map((line, index) => readLine(columns, line, index + 2, pots));
  const problems = [...read.flatMap((line) => line.problems), ...repeats(read)];
  problems.sort((one, other) => one.row - other.row);
  if (problems.length > 0) return { ok: false, problems };
  return { ok: true, brews: read.flatMap((line) => (line.brew === null ? [] : [line.brew])) };
}

interface Line {
  row: number;
  brew: BrewRecord | null;
  problems: CellProblem[];
}

function checkHeading(columns: readonly string[]): CellProblem[] {
  const known = Object.keys(brewSheetColumns);
  const strange = columns.filter((column) => !known.includes(column));
  const missing = known.filter(
    (column) =>
      !columns.includes(column) && !optionalColumns.some((optional) => optional === column),
  );
  return [
    ...strange.map((column) => ({
      row: 1,
      column,
      message: `There is no column of this name; the columns are ${known.join(", ")}`,
    })),
    ...missing.map((column) => ({ row: 1, column, message: "This column is missing" })),
  ];
}

function readLine(
  columns: readonly string[],
  line: readonly string[],
  row: number,
  pots: readonly LoggablePot[],
): Line {
  const typed: BrewRow = Object.fromEntries(
    columns.map((column, index) => [column, line[index] ?? ""]),
  );
  const read = readBrewRow(typed, pots);
  if (!read.ok) {
    return { row, brew: null, problems: read.problems.map((problem) => ({ row, ...problem })) };
  }
  const { coffeeId, potLetter } = read.brew;
  const logged = pots.some(
    (pot) => pot.coffeeId === coffeeId && pot.letter === potLetter && pot.logged,
  );
  const message = "This pot is in the log already; take the row out, or change the brew by hand";
  return { row, brew: read.brew, problems: logged ? [{ row, column: "pot", message }] : [] };
}

function repeats(lines: readonly Line[]): CellProblem[] {
  const firstRow = new Map<string, number>();
  return lines.flatMap(({ row, brew }) => {
    if (brew === null) return [];
    const pot = `${brew.coffeeId} ${brew.potLetter}`;
    const first = firstRow.get(pot);
    firstRow.set(pot, first ?? row);
    return first === undefined
      ? []
      : [{ row, column: "pot", message: `This pot stands in row ${first} already` }];
  });
}
