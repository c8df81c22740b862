import { chmodSync, existsSync, renameSync, rmSync } from "node:fs";
import { checkDataFile, copyDataFile } from "../store/data-file.ts";
import { describeDataFile, readFileCall } from "./file-call.ts";
import type { Terminal } from "./terminal.ts";

export const backupHelp = `evenpour backup FILE [--data FILE] [--force]
copies the data file into FILE, also while the server runs, and checks the copy

  --data FILE   the data file (default evenpour.sqlite; or EVENPOUR_DATA)
  --force       overwrite FILE when it exists

The copy holds everything, the keys of sealed sessions and people's names included: keep it where
only those may read it who may read the server.`;

/** Copies the data file into another file that opens by itself. */
export async function backup(args: string[], terminal: Terminal): Promise<number> {
  const call = readFileCall(args, terminal.environment, { help: backupHelp, mayForce: true });
  if (!call.ok) return terminal.fail(call.message);
  const { file, dataFile, force } = call;
  if (existsSync(file) && !force) {
    return terminal.fail(
      `${file} exists already. Choose another name, or overwrite it with --force.`,
    );
  }
  const source = checkDataFile(dataFile);
  if (!source.ok) return terminal.fail(describeDataFile(dataFile, source));
  const written = writeWhole(dataFile, file);
  if (!written.ok) return terminal.fail(written.message);
  terminal.say(`${dataFile} is copied into ${file}; the copy opens and is whole.`);
  return 0;
}

/** Writes under another name until the copy is whole: a broken copy must never pass for a backup. */
function writeWhole(dataFile: string, file: string): { ok: true } | { ok: false; message: string } {
  const unfinished = `${file}.unfinished`;
  try {
    rmSync(unfinished, { force: true });
    copyDataFile(dataFile, unfinished);
    chmodSync(unfinished, 0o600);
    const copy = checkDataFile(unfinished);
    if (!copy.ok) return { ok: false, message: describeDataFile(unfinished, copy) };
    renameSync(unfinished, file);
    return { ok: true };
  } catch (error) {
    rmSync(unfinished, { force: true });
    const cause = error instanceof Error ? error.message : String(error);
    const advice = "Check its folder and the free space.";
    return { ok: false, message: `${file} cannot be written (${cause}). ${advice}` };
  }
}
