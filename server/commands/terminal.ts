/** The terminal a command speaks to, so that tests can listen. */
export interface Terminal {
  environment: Readonly<Record<string, string | undefined>>;
  input: NodeJS.ReadableStream;
  /** Writes a line to standard output. */
  say(line: string): void;
  /** Writes a line to standard error and returns the exit code of a bad call. */
  fail(line: string): number;
}

/** The process's own terminal. */
export const processTerminal: Terminal = {
  environment: process.env,
  input: process.stdin,
  say: (line) => {
    process.stdout.write(`${line}\n`);
  },
  fail: (line) => {
    process.stderr.write(`${line}\n`);
    return 2;
  },
};
