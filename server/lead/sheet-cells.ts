import { parse } from "csv-parse/sync";
import type { CellProblem } from "../../src/experiment/brew-import.ts";
import type { RawForm } from "../form.ts";

export type Cells = { ok: true; cells: string[][] } | { ok: false; problems: CellProblem[] };

/** The chosen file as text; bytes that are no UTF-8 show as such and are refused further on. */
export function uploadedText(form: RawForm): string {
  return Buffer.isBuffer(form.file) ? form.file.toString("utf8") : "";
}

/**
 * Splits a sheet into cells; comma, semicolon or tab, as its heading has it. A text whose first row
 * names none of the known columns is refused with `notOne`.
 */
export function readCells(text: string, known: readonly string[], notOne: string): Cells {
  const heading = text.split(/\r?\n/, 1)[0] ?? "";
  const delimiter = [";", "\t"].find((mark) => heading.includes(mark)) ?? ",";
  const options = { delimiter, bom: true, skip_empty_lines: true, relax_column_count: true };
  if (text.includes("\0"))
    return noSheet("This is no text file; save the sheet as CSV and choose that");
  try {
    const cells: string[][] = parse(text, options);
    const names = cells[0]?.map((name) => name.trim().toLowerCase()) ?? [];
    return names.some((name) => known.includes(name)) ? { ok: true, cells } : noSheet(notOne);
  } catch (error) {
    const reason = error instanceof Error ? error.message : String(error);
    return noSheet(`The sheet can't be read as CSV (${reason})`);
  }
}

function noSheet(message: string): Cells {
  return { ok: false, problems: [{ row: 1, column: "", message }] };
}
