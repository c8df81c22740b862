import { labelOf } from "./labels.ts";
import { numberText } from "./number-text.ts";

/** One part of a result as the page draws it. */
export interface ResultPart {
  heading: string | null;
  facts: { label: string; value: string }[];
  table: ResultTable | null;
  /** Words and values that need no table. */
  sentences: string[];
}

interface ResultTable {
  columns: string[];
  rows: string[][];
  /** Rows that are not shown. */
  hidden: number;
}

/** More rows than this are for programs, not for reading. */
const SHOWN_ROWS = 500;
const WARNINGS = "warnings";
/** A share of people outside 0..1 is an artefact of the guessing correction. */
const SHARE = "proportionDistinguishing";

/** A calculator's output as headed parts: plain values, then objects and arrays under their names. */
export function resultParts(output: unknown): ResultPart[] {
  const rest = entriesOf(output).filter(([key]) => key !== WARNINGS);
  return partsOf(null, Object.fromEntries(rest)).filter(
    ({ facts, table, sentences }) => facts.length > 0 || table !== null || sentences.length > 0,
  );
}

/** What a calculator warns of: its own sentences, to stand above everything else. */
export function warningsIn(output: unknown): string[] {
  const found = entriesOf(output).find(([key]) => key === WARNINGS)?.[1];
  return Array.isArray(found) ? found.map((warning) => textOf(WARNINGS, warning)) : [];
}

function partsOf(heading: string | null, value: unknown): ResultPart[] {
  if (Array.isArray(value)) return [arrayPart(heading, value)];
  const entries = entriesOf(value);
  const plain = entries.filter(([, child]) => isPlain(child));
  const facts = plain.map(([key, child]) => ({ label: labelOf(key), value: textOf(key, child) }));
  const deep = entries.filter(([, child]) => !isPlain(child));
  return [
    { heading, facts, table: null, sentences: [] },
    ...deep.flatMap(([key, child]) => partsOf(joined(heading, labelOf(key)), child)),
  ];
}

function joined(heading: string | null, label: string): string {
  return heading === null ? label : `${heading}: ${label.toLowerCase()}`;
}

function arrayPart(heading: string | null, items: unknown[]): ResultPart {
  const empty = { heading, facts: [], table: null, sentences: [] };
  if (items.length > 0 && items.every((item) => typeof item === "string")) {
    return { ...empty, sentences: items };
  }
  const shown = items.slice(0, SHOWN_ROWS);
  const columns = [...new Set(shown.flatMap((item) => entriesOf(item).map(([key]) => key)))];
  if (columns.length === 0)
    return { ...empty, sentences: [items.map((item) => textOf("", item)).join(", ")] };
  const rows = shown.map((item) => {
    const cells = new Map(entriesOf(item));
    return columns.map((key) => (cells.has(key) ? textOf(key, cells.get(key)) : ""));
  });
  const table = { columns: columns.map(labelOf), rows, hidden: items.length - shown.length };
  return { ...empty, table };
}

/** What is shown in one line: single values and an estimate with its limits. */
function isPlain(value: unknown): boolean {
  return typeof value !== "object" || value === null || isInterval(value);
}

function isInterval(value: object): boolean {
  return Object.keys(value).sort().join() === "estimate,lower,upper";
}

function textOf(key: string, value: unknown): string {
  if (value === null || value === undefined) return "none";
  if (typeof value === "number") return key === SHARE ? shareText(value) : numberText(value);
  if (typeof value === "boolean") return value ? "yes" : "no";
  if (typeof value !== "object") return String(value);
  if (Array.isArray(value)) return value.map((item) => textOf(key, item)).join(" · ");
  const entries = new Map(entriesOf(value));
  if (!isInterval(value)) {
    return [...entries]
      .map(([name, child]) => `${labelOf(name)} ${textOf(name, child)}`)
      .join(", ");
  }
  const [estimate, lower, upper] = ["estimate", "lower", "upper"].map((part) =>
    textOf(key, entries.get(part)),
  );
  return `${estimate} (${lower} to ${upper})`;
}

/** Clamped for reading, with what was computed beside it. */
function shareText(value: number): string {
  const clamped = Math.min(1, Math.max(0, value));
  return clamped === value ? numberText(value) : `${clamped} [computed ${numberText(value)}]`;
}

function entriesOf(value: unknown): [string, unknown][] {
  return typeof value === "object" && value !== null && !Array.isArray(value)
    ? Object.entries(value)
    : [];
}
