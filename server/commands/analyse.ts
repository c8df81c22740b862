import { parseArgs } from "node:util";
import { canonicalJson } from "../../src/design/seal.ts";
import { analyse as findingsOf } from "../../src/report/analysis.ts";
import { type PackageReading, readPackage } from "../report/read-package.ts";
import type { Terminal } from "./terminal.ts";

export const analyseHelp = `evenpour analyse PACKAGE [--check]
analyses a data package again

  PACKAGE       a session's data package: the zip archive of a report, or its folder
  --check       compare with the findings inside instead of printing

Prints the findings as JSON. Exit codes: 0 analysed, or the same findings; 1 other findings;
2 bad package or bad call.`;

/** Computes a data package's findings from its tables, plan and session alone. */
export async function analyse(args: string[], terminal: Terminal): Promise<number> {
  const call = readCall(args);
  if (call === null) return terminal.fail(analyseHelp);
  const read = readPackage(call.place);
  if (!read.ok) return terminal.fail(describeProblems(call.place, read.problems));
  if (call.check) return compare(read, terminal);
  terminal.say(JSON.stringify(findingsOf(read.evidence), null, 1));
  return 0;
}

/** How many problems are told at once. */
const TOLD = 10;

function describeProblems(place: string, problems: readonly string[]): string {
  const more = problems.length - TOLD;
  return [
    `${place} can't be analysed:`,
    ...problems.slice(0, TOLD).map((problem) => `  ${problem}`),
    ...(more > 0 ? [`  and ${more} more`] : []),
  ].join("\n");
}

function compare(read: PackageReading & { ok: true }, terminal: Terminal): number {
  const computed: unknown = JSON.parse(JSON.stringify(findingsOf(read.evidence)));
  const differ = differences(computed, read.findings, "");
  if (differ.length === 0) {
    terminal.say("The same findings, to the last digit.");
    return 0;
  }
  terminal.say("Other findings than those in findings.json:");
  for (const place of differ.slice(0, TOLD)) terminal.say(`  ${place}`);
  return 1;
}

/** Paths at which two JSON values differ. */
function differences(one: unknown, other: unknown, path: string): string[] {
  if (canonicalJson(one ?? null) === canonicalJson(other ?? null)) return [];
  if (!isObject(one) || !isObject(other)) {
    return [`${path || "all of it"}: ${JSON.stringify(one)}, not ${JSON.stringify(other)}`];
  }
  const names = new Set([...Object.keys(one), ...Object.keys(other)]);
  return [...names].flatMap((name) =>
    differences(one[name], other[name], path === "" ? name : `${path}.${name}`),
  );
}

function isObject(value: unknown): value is Record<string, unknown> {
  return typeof value === "object" && value !== null;
}

function readCall(args: string[]): { place: string; check: boolean } | null {
  try {
    const { values, positionals } = parseArgs({
      args,
      options: { check: { type: "boolean", default: false } },
      allowPositionals: true,
    });
    const [place, ...more] = positionals;
    return place === undefined || more.length > 0 ? null : { place, check: values.check };
  } catch {
    return null;
  }
}
