import { execFileSync } from "node:child_process";
import { accessSync, constants } from "node:fs";
import { delimiter, join } from "node:path";

/** Where to look, and how to install: given as arguments so that a test can stand in another machine. */
export interface Machine {
  environment: Readonly<Record<string, string | undefined>>;
  isRoot: boolean;
  /** The distribution's own place, which need not be on PATH. */
  usualPath: string;
  /** Runs a program and throws when it fails. */
  run(program: string, args: string[]): void;
}

export type ChromiumOutcome = { ok: true; path: string } | { ok: false; message: string };

const NAMES = ["chromium", "chromium-browser", "google-chrome", "google-chrome-stable"];

/** A Chromium to test with: the one named by EVENPOUR_CHROMIUM, one that is there, or one installed by apt-get. */
export function findChromium(machine: Machine): ChromiumOutcome {
  const named = machine.environment.EVENPOUR_CHROMIUM;
  if (named !== undefined && named !== "") {
    if (isProgram(named)) return { ok: true, path: named };
    return { ok: false, message: `EVENPOUR_CHROMIUM names ${named}, which is no program.` };
  }
  const found = installed(machine);
  return found === undefined ? install(machine) : { ok: true, path: found };
}

/** This machine. */
export const thisMachine: Machine = {
  environment: process.env,
  isRoot: process.getuid?.() === 0,
  usualPath: "/usr/bin/chromium",
  run: (program, args) => {
    const environment = { ...process.env, DEBIAN_FRONTEND: "noninteractive" };
    execFileSync(program, args, { stdio: ["ignore", "ignore", "inherit"], env: environment });
  },
};

function installed({ environment, usualPath }: Machine): string | undefined {
  const folders = (environment.PATH ?? "").split(delimiter).filter((folder) => folder !== "");
  const places = NAMES.flatMap((name) => folders.map((folder) => join(folder, name)));
  return [usualPath, ...places].find(isProgram);
}

function install(machine: Machine): ChromiumOutcome {
  const advice =
    "Browser tests need Chromium: install it (on Debian: apt-get install chromium) or name one in EVENPOUR_CHROMIUM.";
  if (!machine.isRoot) return { ok: false, message: advice };
  try {
    machine.run("apt-get", ["update"]);
    machine.run("apt-get", ["install", "-y", "chromium"]);
  } catch (error) {
    const cause = error instanceof Error ? error.message.split("\n")[0] : String(error);
    return { ok: false, message: `${advice} Installing it failed: ${cause}` };
  }
  const path = installed(machine);
  return path === undefined ? { ok: false, message: advice } : { ok: true, path };
}

function isProgram(path: string): boolean {
  try {
    accessSync(path, constants.X_OK);
    return true;
  } catch {
    return false;
  }
}
