#!/usr/bin/env node
import { lead, leadHelp } from "./commands/lead.ts";
import { serve, serveHelp } from "./commands/serve.ts";
import { processTerminal, type Terminal } from "./commands/terminal.ts";

interface Command {
  run(args: string[], terminal: Terminal): Promise<number>;
  help: string;
  summary: string;
}

const commands: Record<string, Command> = {
  serve: { run: serve, help: serveHelp, summary: "serve a data file" },
  lead: { run: lead, help: leadHelp, summary: "reset a lead's passphrase" },
};

/** Runs one command line and answers its exit code. */
export async function runCommandLine(args: string[], terminal: Terminal): Promise<number> {
  const [name, ...rest] = args;
  if (name === undefined || name === "--help" || name === "help") {
    terminal.say(overview());
    return 0;
  }
  const command = Object.hasOwn(commands, name) ? commands[name] : undefined;
  if (command === undefined) return terminal.fail(`There is no command ${name}.\n\n${overview()}`);
  if (rest.includes("--help")) {
    terminal.say(command.help);
    return 0;
  }
  return await command.run(rest, terminal);
}

function overview(): string {
  const lines = Object.entries(commands).map(
    ([name, { summary }]) => `  ${name.padEnd(9)} ${summary}`,
  );
  return `evenpour COMMAND [options]; evenpour COMMAND --help says more\n\n${lines.join("\n")}`;
}

process.exitCode = await runCommandLine(process.argv.slice(2), processTerminal);
