import { parseArgs } from "node:util";
import { readConfig } from "../config.ts";
import type { DataFileCheck } from "../store/data-file.ts";

export type FileCall =
  | { ok: true; file: string; dataFile: string; force: boolean }
  | { ok: false; message: string };

/** Reads `FILE [--data FILE] [--force]`; the data file's name comes from the settings. */
export function readFileCall(
  args: string[],
  environment: Readonly<Record<string, string | undefined>>,
  { help, mayForce }: { help: string; mayForce: boolean },
): FileCall {
  try {
    const { values, positionals } = parseArgs({
      args,
      options: { data: { type: "string" }, force: { type: "boolean", default: false } },
      allowPositionals: true,
    });
    if (values.force && !mayForce) return { ok: false, message: help };
    const [file, ...more] = positionals;
    if (file === undefined || file === "" || more.length > 0) return { ok: false, message: help };
    const flags = values.data === undefined ? [] : [`--data=${values.data}`];
    const config = readConfig(flags, environment);
    if (!config.ok) return config;
    return { ok: true, file, dataFile: config.config.dataFile, force: values.force };
  } catch (error) {
    const cause = error instanceof Error ? error.message : String(error);
    return { ok: false, message: `${cause}\n\n${help}` };
  }
}

/** One line on what is wrong with a file and what to do. */
export function describeDataFile(file: string, check: DataFileCheck & { ok: false }): string {
  const lines = {
    missing: `There is no file ${file}. Check its name and folder.`,
    "not-ours": `${file} is not an Evenpour data file (${check.detail}). Choose another.`,
    "newer-version": `${file} was made by a newer version of Evenpour (it knows ${check.detail}). Use that version.`,
    damaged: `${file} is damaged (${check.detail}). Use an older backup.`,
  };
  return lines[check.refusal];
}
