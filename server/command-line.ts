import type { Terminal } from "./commands/terminal.ts";

/** A command once it is loaded. */
export interface Command {
  run(args: string[], terminal: Terminal): Promise<number>;
  help: string;
}

interface CommandEntry {
  summary: string;
  /** Imports the command only when it is asked for: `calc` must not wait for server and store. */
  load(): Promise<Command>;
}

/** Every command by name, in the order of the overview. */
export const commands: Readonly<Record<string, CommandEntry>> = {
  serve: {
    summary: "serve a data file",
    load: () => import("./commands/serve.ts").then((it) => ({ run: it.serve, help: it.serveHelp })),
  },
  demo: {
    summary: "serve an invented scenario from a temporary file",
    load: () => import("../seed/demo.ts").then((it) => ({ run: it.demo, help: it.demoHelp })),
  },
  lead: {
    summary: "reset a lead's passphrase",
    load: () => import("./commands/lead.ts").then((it) => ({ run: it.lead, help: it.leadHelp })),
  },
  backup: {
    summary: "copy the data file, also while it is served",
    load: () =>
      import("./commands/backup.ts").then((it) => ({ run: it.backup, help: it.backupHelp })),
  },
  restore: {
    summary: "put a backup in the data file's place",
    load: () =>
      import("./commands/restore.ts").then((it) => ({ run: it.restore, help: it.restoreHelp })),
  },
  verify: {
    summary: "check that nothing moved since a session was sealed",
    load: () =>
      import("./commands/verify.ts").then((it) => ({ run: it.verify, help: it.verifyHelp })),
  },
  analyse: {
    summary: "analyse a data package again",
    load: () =>
      import("./commands/analyse.ts").then((it) => ({ run: it.analyse, help: it.analyseHelp })),
  },
  calc: {
    summary: "run a calculator on standard input",
    load: () => import("./commands/calc.ts").then((it) => ({ run: it.calc, help: it.calcHelp })),
  },
};

/** Runs one command line and answers its exit code. */
export async function runCommandLine(args: string[], terminal: Terminal): Promise<number> {
  const [name, ...rest] = args;
  if (name === undefined || name === "--help" || name === "help") {
    terminal.say(overview());
    return 0;
  }
  const entry = Object.hasOwn(commands, name) ? commands[name] : undefined;
  if (entry === undefined) return terminal.fail(`There is no command ${name}.\n\n${overview()}`);
  const command = await entry.load();
  if (!rest.includes("--help")) return await command.run(rest, terminal);
  terminal.say(command.help);
  return 0;
}

function overview(): string {
  const lines = Object.entries(commands).map(
    ([name, { summary }]) => `  ${name.padEnd(9)} ${summary}`,
  );
  return `evenpour COMMAND [options]; evenpour COMMAND --help says more\n\n${lines.join("\n")}`;
}
