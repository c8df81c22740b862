/** The terminal a command speaks to, so that tests can listen. */
export interface Terminal {
  environment: Readonly<Record<string, string | undefined>>;
  input: NodeJS.ReadableStream;
  /** Writes a line to standard output. */
  say(line: string): void;
  /** Writes text to standard output and waits until it is taken; false when nobody reads any more. */
  write(text: string): Promise<boolean>;
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
  write: (text) =>
    new Promise((resolve) => {
      process.stdout.write(text, (error) => resolve(error === null || error === undefined));
    }),
  fail: (line) => {
    process.stderr.write(`${line}\n`);
    return 2;
  },
};
