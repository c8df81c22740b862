import { createHash } from "node:crypto";
import { stringify } from "csv-stringify/sync";
import { strToU8, zipSync } from "fflate";
import type { SessionEvent } from "../../src/experiment/event.ts";
import type { Evidence } from "../../src/report/evidence.ts";
import type { Findings } from "../../src/report/findings.ts";
import { packageDescriptor, packageReadme } from "../../src/report/package/descriptor.ts";
import { type PackageRow, packageRows } from "../../src/report/package/rows.ts";
import { packageTables, tableNames } from "../../src/report/package/tables.ts";
import { version } from "../version.ts";

/** What a session's data package is made of. */
export interface PackageContents {
  /** What is said of the session: id, name, date, seals. */
  about: Record<string, string | null>;
  /** ISO instant at which the data became final. */
  created: string;
  evidence: Evidence;
  findings: Findings;
  events: readonly SessionEvent[];
}

/** The files of an open data package by name, as text. The same session gives the same bytes. */
export function packageFiles(contents: PackageContents): Record<string, string> {
  const { evidence, findings, events } = contents;
  const { plan, ballots: _, pots: __, pourings: ___, ...conduct } = evidence;
  const rows = packageRows(evidence);
  const files: Record<string, string> = {};
  for (const name of tableNames) {
    files[`${name}.csv`] = csv(
      rows[name],
      packageTables[name].fields.map((field) => field.name),
    );
  }
  files["plan.json"] = json(plan);
  files["session.json"] = json({
    ...contents.about,
    mixUps: [],
    ...conduct,
    origin: evidence.origin ?? "run-here",
  });
  files["events.json"] = json(events);
  files["findings.json"] = json(findings);
  const facts = {
    title: plan.title,
    question: plan.question,
    created: contents.created,
    softwareVersion: version,
    imported: evidence.origin === "imported",
  };
  files["README.md"] = packageReadme(facts);
  const descriptor = packageDescriptor(facts, (path) => sealOf(files[path] ?? ""));
  files["datapackage.json"] = json(descriptor);
  return files;
}

/** The files as one zip archive. */
export function zipPackage(files: Readonly<Record<string, string>>): Uint8Array {
  const bytes = Object.entries(files).map(([name, text]) => [name, strToU8(text)] as const);
  // A fixed date: an archive of the same files is the same archive.
  return zipSync(Object.fromEntries(bytes), { mtime: new Date(1980, 0, 1) });
}

function json(value: unknown): string {
  return `${JSON.stringify(value, null, 1)}\n`;
}

function csv(rows: readonly PackageRow[], columns: string[]): string {
  return stringify([...rows], {
    header: true,
    columns,
    record_delimiter: "windows",
    // R reads these two words as logical, and no others of this kind.
    cast: { boolean: (value) => (value ? "TRUE" : "FALSE"), string: disarm },
  });
}

/** Text that a spreadsheet could run as a formula, or that looks disarmed already, starts with an apostrophe. */
function disarm(text: string): string {
  return /^[=+\-@\t\r']/.test(text) ? `'${text}` : text;
}

function sealOf(text: string): { bytes: number; sha256: string } {
  const bytes = Buffer.from(text, "utf8");
  return { bytes: bytes.length, sha256: createHash("sha256").update(bytes).digest("hex") };
}
