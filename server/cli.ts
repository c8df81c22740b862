#!/usr/bin/env node
import { runCommandLine } from "./command-line.ts";
import { processTerminal } from "./commands/terminal.ts";

// A reader that stops early (`… | head`) is no fault of the command.
process.stdout.on("error", (error: NodeJS.ErrnoException) => {
  if (error.code !== "EPIPE") throw error;
});
process.exitCode = await runCommandLine(process.argv.slice(2), processTerminal);
