import { existsSync, readFileSync } from "node:fs";
import { parseArgs } from "node:util";
import { type Check, readPublished, verifyPublished } from "../../src/report/verification.ts";
import { openDataFile } from "../running.ts";
import { checkDataFile } from "../store/data-file.ts";
import { verifyStore } from "../store/verification.ts";
import { describeDataFile } from "./file-call.ts";
import type { Terminal } from "./terminal.ts";

export const verifyHelp = `evenpour verify FILE
checks that nothing moved since a session was sealed

  FILE          a session's published data (session.json), or a whole data file

Says what was checked; exit 0 when all of it held, 1 when something did not.`;

/** Verifies a published session or every session of a data file. */
export async function verify(args: string[], terminal: Terminal): Promise<number> {
  const { positionals } = parseArgs({ args, strict: false, allowPositionals: true });
  const [file, ...more] = positionals;
  if (file === undefined || more.length > 0) return terminal.fail(verifyHelp);
  if (!existsSync(file))
    return terminal.fail(`There is no file ${file}. Check its name and folder.`);
  const head = readFileSync(file).subarray(0, 15).toString("latin1");
  return head === "SQLite format 3" ? await verifyData(file, terminal) : verifyFile(file, terminal);
}

function verifyFile(file: string, terminal: Terminal): number {
  const read = readPublished(readFileSync(file, "utf8"));
  if (!read.ok) return terminal.fail(`${file} is no published session: ${read.message}`);
  return tell(verifyPublished(read.session), terminal);
}

async function verifyData(file: string, terminal: Terminal): Promise<number> {
  const checked = checkDataFile(file);
  if (!checked.ok) return terminal.fail(describeDataFile(file, checked));
  const opened = await openDataFile(file);
  if (!opened.ok) return terminal.fail(opened.message);
  try {
    const sessions = await verifyStore(opened.store);
    if (sessions.length === 0) terminal.say("No session is sealed in this file.");
    const codes = sessions.map(({ name, checks }) => {
      terminal.say(`\n${name}`);
      return tell(checks, terminal);
    });
    return Math.max(0, ...codes);
  } finally {
    await opened.store.destroy();
  }
}

function tell(checks: readonly Check[], terminal: Terminal): number {
  for (const { what, ok, detail } of checks) {
    terminal.say(`${ok ? "holds   " : "BROKEN  "}${what}${detail === null ? "" : ` (${detail})`}`);
  }
  return checks.every(({ ok }) => ok) ? 0 : 1;
}
