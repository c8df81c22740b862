import {
  chmodSync,
  chownSync,
  existsSync,
  realpathSync,
  renameSync,
  rmSync,
  statSync,
} from "node:fs";
import { checkDataFile, copyDataFile, isInUse } from "../store/data-file.ts";
import { describeDataFile, readFileCall } from "./file-call.ts";
import type { Terminal } from "./terminal.ts";

export const restoreHelp = `evenpour restore FILE [--data FILE]
puts a backup in the data file's place and keeps the old data file beside it

  --data FILE   the data file (default evenpour.sqlite; or EVENPOUR_DATA)

Stop the server first: restore refuses while a program has the data file open.`;

/** Replaces the data file by a backup that this version can open. */
export async function restore(args: string[], terminal: Terminal): Promise<number> {
  const call = readFileCall(args, terminal.environment, { help: restoreHelp, mayForce: false });
  if (!call.ok) return terminal.fail(call.message);
  const { file, dataFile } = call;
  const backup = checkDataFile(file);
  if (!backup.ok) return terminal.fail(describeDataFile(file, backup));
  if (existsSync(dataFile) && realpathSync(file) === realpathSync(dataFile)) {
    return terminal.fail(`${file} is the data file itself. Give the backup's name.`);
  }
  if (isInUse(dataFile)) {
    return terminal.fail(`A program has ${dataFile} open. Stop the server, then restore again.`);
  }
  try {
    const kept = replace(dataFile, file);
    terminal.say(`${dataFile} is restored from ${file}.`);
    if (kept !== null) terminal.say(`The old data file is kept as ${kept}.`);
    return 0;
  } catch (error) {
    const cause = error instanceof Error ? error.message : String(error);
    return terminal.fail(`${dataFile} cannot be replaced (${cause}). Check its folder and rights.`);
  }
}

/** Swaps the files by renaming, so that a power cut leaves the old one or the new one; answers the old one's new name. */
function replace(dataFile: string, backup: string): string | null {
  const unfinished = `${dataFile}.unfinished`;
  rmSync(unfinished, { force: true });
  copyDataFile(backup, unfinished);
  chmodSync(unfinished, 0o600);
  if (!existsSync(dataFile)) {
    renameSync(unfinished, dataFile);
    return null;
  }
  const { mode, uid, gid } = statSync(dataFile);
  chmodSync(unfinished, mode & 0o777);
  // The server's own user must be able to open what an administrator restores.
  if (process.getuid?.() === 0) chownSync(unfinished, uid, gid);
  const kept = `${dataFile}.before-restore-${new Date().toISOString().replaceAll(":", "-")}`;
  for (const part of ["", "-wal", "-shm"]) {
    if (existsSync(`${dataFile}${part}`)) renameSync(`${dataFile}${part}`, `${kept}${part}`);
  }
  renameSync(unfinished, dataFile);
  return kept;
}
