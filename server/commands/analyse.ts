import { parseArgs } from "node:util";
import { analyse as findingsOf } from "../../src/report/analysis.ts";
import { compareFindings } from "../../src/report/package/compare-findings.ts";
import { type PackageReading, readPackage } from "../report/read-package.ts";
import type { Terminal } from "./terminal.ts";

export const analyseHelp = `evenpour analyse PACKAGE [--check]
analyses a data package again

  PACKAGE       a session's data package: the zip archive of a report, or its folder
  --check       compare with the findings inside instead of printing; what an earlier version
                did not put there is named and not compared, and so are last digits that
                another version of Node rounds otherwise

Prints the findings as JSON. Exit codes: 0 analysed, or the same findings; 1 other findings;
2 bad package or bad call.`;

/** Computes a data package's findings from its tables, plan and session alone. */
export async function analyse(args: string[], terminal: Terminal): Promise<number> {
  const call = readCall(args);
  if (call === null) return terminal.fail(analyseHelp);
  const read = readPackage(call.place);
  if (!read.ok) return terminal.fail(listed(`${call.place} can't be analysed:`, read.problems));
  if (call.check) return compare(read, terminal);
  terminal.say(JSON.stringify(findingsOf(read.evidence), null, 1));
  return 0;
}

/** How many lines of a kind are told at once. */
const TOLD = 10;

/** A heading with the first of some lines below it. */
function listed(heading: string, lines: readonly string[]): string {
  const more = lines.length - TOLD;
  return [
    heading,
    ...lines.slice(0, TOLD).map((line) => `  ${line}`),
    ...(more > 0 ? [`  and ${more} more`] : []),
  ].join("\n");
}

function compare(read: PackageReading & { ok: true }, terminal: Terminal): number {
  const computed: unknown = JSON.parse(JSON.stringify(findingsOf(read.evidence)));
  const { differ, rounded, lacking } = compareFindings(computed, read.findings);
  if (differ.length > 0)
    terminal.say(listed("Other findings than those in findings.json:", differ));
  else if (rounded.length === 0) terminal.say("The same findings, to the last digit.");
  else {
    const same = "The same findings. Another version of Node rounds the last digits of:";
    terminal.say(listed(same, rounded));
  }
  if (lacking.length > 0) {
    const made = "An earlier version made this package. Its findings.json lacks, uncompared:";
    terminal.say(listed(made, lacking));
  }
  return differ.length === 0 ? 0 : 1;
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
