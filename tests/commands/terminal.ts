import { execFile } from "node:child_process";
import { Readable } from "node:stream";
import { fileURLToPath } from "node:url";
import { runCommandLine } from "../../server/command-line.ts";

export interface Spoken {
  code: number;
  out: string;
  err: string;
}

/** Runs a command line in this process with what is typed or piped into it. */
export async function run(
  args: string[],
  input: string | Buffer[] = "",
  environment: Record<string, string> = {},
): Promise<Spoken> {
  const spoken = { out: "", err: "" };
  const code = await runCommandLine(args, {
    environment,
    input: Readable.from(typeof input === "string" ? [Buffer.from(input)] : input),
    say: (line) => {
      spoken.out += `${line}\n`;
    },
    write: async (text) => {
      spoken.out += text;
      return true;
    },
    fail: (line) => {
      spoken.err += `${line}\n`;
      return 2;
    },
  });
  return { code, ...spoken };
}

/** The built program's entry; `npm test` builds before it tests. */
export const builtProgram = fileURLToPath(new URL("../../dist/server/cli.js", import.meta.url));

/** Runs the built program as a shell would. */
export function runBuilt(args: string[], input = ""): Promise<Spoken> {
  return new Promise((resolve) => {
    const child = execFile(
      process.execPath,
      [builtProgram, ...args],
      { maxBuffer: 2 ** 28 },
      (error, out, err) => {
        const code = typeof error?.code === "number" ? error.code : 0;
        resolve({ code: error === null ? 0 : code, out, err });
      },
    );
    child.stdin?.end(input);
  });
}
