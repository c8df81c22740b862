import { existsSync, readdirSync, readFileSync, statSync } from "node:fs";
import { join } from "node:path";
import { parse } from "csv-parse/sync";
import { strFromU8, unzipSync } from "fflate";
import type { Evidence } from "../../src/report/evidence.ts";
import { type RawPackage, readEvidence } from "../../src/report/package/read-evidence.ts";
import {
  columnsAddedLater,
  packageTables,
  type TableName,
  tableNames,
  tablesAddedLater,
} from "../../src/report/package/tables.ts";

export type PackageReading =
  | { ok: true; evidence: Evidence; findings: unknown }
  | { ok: false; problems: readonly string[] };

/** More than any session's data: an archive that unpacks to more is none of ours. */
const MOST_BYTES = 512 * 2 ** 20;

/** Reads a data package, a folder or a zip archive, back into the evidence that it was made of. */
export function readPackage(place: string): PackageReading {
  const opened = openPackage(place);
  if (!opened.ok) return opened;
  const { files } = opened;
  const missing = [
    ...tableNames.filter((name) => !tablesAddedLater.includes(name)).map((name) => `${name}.csv`),
    "plan.json",
    "session.json",
    "findings.json",
  ].filter((name) => !files.has(name));
  if (missing.length > 0) return bad(...missing.map((name) => `${name} is missing`));
  try {
    const raw: RawPackage = {
      plan: JSON.parse(textOf(files, "plan.json")),
      session: JSON.parse(textOf(files, "session.json")),
      tables: {
        pots: rowsOf(files, "pots"),
        readings: rowsOf(files, "readings"),
        pourings: rowsOf(files, "pourings"),
        ballots: rowsOf(files, "ballots"),
        cups: rowsOf(files, "cups"),
        answers: rowsOf(files, "answers"),
      },
    };
    const read = readEvidence(raw);
    if (!read.ok) return read;
    return { ...read, findings: JSON.parse(textOf(files, "findings.json")) };
  } catch (error) {
    return bad(error instanceof Error ? error.message : String(error));
  }
}

type Files = ReadonlyMap<string, Uint8Array>;

const bad = (...problems: string[]) => ({ ok: false as const, problems });

function openPackage(place: string): { ok: true; files: Files } | ReturnType<typeof bad> {
  if (!existsSync(place)) return bad(`There is no file or folder ${place}`);
  if (statSync(place).isDirectory()) {
    const files = readdirSync(place, { withFileTypes: true }).filter((entry) => entry.isFile());
    return {
      ok: true,
      files: new Map(files.map(({ name }) => [name, readFileSync(join(place, name))])),
    };
  }
  return openArchive(readFileSync(place));
}

function openArchive(bytes: Uint8Array): { ok: true; files: Files } | ReturnType<typeof bad> {
  let total = 0;
  try {
    const files = unzipSync(bytes, {
      filter: ({ originalSize }) => {
        total += originalSize;
        return total <= MOST_BYTES;
      },
    });
    if (total > MOST_BYTES) return bad("It unpacks to more than a session can hold");
    return { ok: true, files: new Map(Object.entries(files)) };
  } catch {
    return bad("It is neither a folder nor a zip archive");
  }
}

function textOf(files: Files, name: string): string {
  return strFromU8(files.get(name) ?? new Uint8Array()).replace(/^\uFEFF/, "");
}

function rowsOf(files: Files, table: TableName): Record<string, string>[] {
  if (!files.has(`${table}.csv`)) return [];
  const cells: string[][] = parse(textOf(files, `${table}.csv`), { relax_column_count: true });
  const [heading = [], ...lines] = cells;
  const later = columnsAddedLater[table] ?? [];
  const missing = packageTables[table].fields.filter(
    ({ name }) => !heading.includes(name) && !later.includes(name),
  );
  const [first] = missing;
  if (first !== undefined) throw new Error(`${table}.csv lacks the column ${first.name}`);
  return lines.map((line) =>
    Object.fromEntries([
      ...later.map((column) => [column, ""]),
      ...heading.map((column, index) => [column, rearm(line[index] ?? "")]),
    ]),
  );
}

/** Takes off the apostrophe that keeps a spreadsheet from running a cell. */
function rearm(text: string): string {
  return text.replace(/^'(?=[=+\-@\t\r'])/, "");
}
