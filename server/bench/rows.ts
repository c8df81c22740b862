import type { Column, Scalar, Shape } from "./controls.ts";
import { labelOf } from "./labels.ts";
import { numberIn, readScalar } from "./scalar.ts";

type Reading = { ok: true; value: unknown[]; lines: number[] } | { ok: false; message: string };
type Lines = Exclude<Shape, { kind: "scalar" } | { kind: "json" }>;

interface Line {
  number: number;
  cells: string[];
}

/**
 * Reads a box of lines, as typed or pasted from a spreadsheet. Cells are parted by tabs or
 * semicolons, else by commas, else by spaces; a first line that only names the columns is skipped.
 */
export function readRows(shape: Lines, text: string): Reading {
  if (shape.kind === "list") return readList(shape.scalar, text);
  const lines = linesOf(text).map(({ number, text: line }) => ({
    number,
    cells: cellsOf(line, leastCells(shape.columns)),
  }));
  if (isHeading(lines[0], shape.columns)) lines.shift();
  const crowded = lines.find(({ cells }) => cells.length > mostCells(shape.columns));
  if (crowded !== undefined) {
    const message = `Line ${crowded.number} has ${crowded.cells.length} values where ${mostCells(shape.columns)} are the most. Part them by semicolons or tabs.`;
    return { ok: false, message };
  }
  const value = lines.map(({ cells }) =>
    shape.named ? asObject(shape.columns ?? [], cells) : asArray(cells),
  );
  return { ok: true, value, lines: lines.map((line) => line.number) };
}

function readList(scalar: Scalar, text: string): Reading {
  const entries = linesOf(text).flatMap(({ number, text: line }) =>
    wordsOf(scalar, line).map((word) => ({ number, value: readScalar(scalar, word) })),
  );
  return {
    ok: true,
    value: entries.map(({ value }) => value),
    lines: entries.map(({ number }) => number),
  };
}

/** Numbers and choices hold no spaces, so that several may share a line; labels may. */
function wordsOf(scalar: Scalar, line: string): string[] {
  const words = scalar.kind === "text" ? line.split(/[;\t]/) : line.split(/[;\s]+|,\s+/);
  return words.map((word) => word.trim().replace(/,$/, "")).filter((word) => word !== "");
}

function linesOf(text: string): { number: number; text: string }[] {
  return text
    .split(/\r?\n/)
    .map((line, index) => ({ number: index + 1, text: line.trim() }))
    .filter((line) => line.text !== "");
}

function cellsOf(line: string, least: number): string[] {
  const trimmed = (cells: string[]) => cells.map((cell) => cell.trim());
  if (/[\t;]/.test(line)) return trimmed(line.split(/[\t;]/));
  const byComma = line.split(/,\s+|,$/);
  if (byComma.length >= least && byComma.length > 1) return trimmed(byComma);
  const byBareComma = line.split(",");
  if (byBareComma.length === least && least > 1) return trimmed(byBareComma);
  return line.split(/\s+/);
}

function leastCells(columns: Column[] | null): number {
  return columns === null ? 2 : columns.filter((column) => column.required).length;
}

function mostCells(columns: Column[] | null): number {
  return columns === null ? Number.POSITIVE_INFINITY : columns.length;
}

/** Only the columns' own names make a heading: anything else might be a slip in the data. */
function isHeading(line: Line | undefined, columns: Column[] | null): boolean {
  if (line === undefined || columns === null) return false;
  return line.cells.every((cell, index) => {
    const name = columns[index]?.name ?? "";
    return [name, labelOf(name)].some((known) => known.toLowerCase() === cell.toLowerCase());
  });
}

function asObject(columns: Column[], cells: string[]): Record<string, unknown> {
  const entries = columns.flatMap(({ name, scalar }, index) => {
    const cell = cells[index];
    return cell === undefined || cell === "" ? [] : [[name, readScalar(scalar, cell)] as const];
  });
  return Object.fromEntries(entries);
}

function asArray(cells: string[]): unknown[] {
  return cells.map((cell) => numberIn(cell) ?? cell);
}
