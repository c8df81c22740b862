import { describeSettings, readConfig } from "../config.ts";
import { now } from "../deps.ts";
import { makeInvitation } from "../lead/invitation.ts";
import { type Running, start } from "../running.ts";
import { anyLead, withdrawInvitations } from "../store/leads.ts";
import type { Terminal } from "./terminal.ts";

export const serveHelp = `evenpour serve: serves the data file until it is stopped

${describeSettings()}`;

/** Serves until SIGINT or SIGTERM; the first start prints the link that sets the first passphrase. */
export async function serve(args: string[], terminal: Terminal): Promise<number> {
  const config = readConfig(args, terminal.environment);
  if (!config.ok) return terminal.fail(config.message);
  const started = await start(config.config);
  if (!started.ok) return terminal.fail(started.message);
  const { running } = started;
  terminal.say(`Evenpour serves ${config.config.dataFile} at ${running.deps.publicUrl()}`);
  if (!(await anyLead(running.deps.store))) {
    terminal.say(`First visit, once only: ${await setUpLink(running)}`);
  }
  await untilStopped(running);
  return 0;
}

async function setUpLink({ deps }: Running): Promise<string> {
  await deps.store.transaction().execute((trx) => withdrawInvitations(trx, "set-up", now(deps)));
  const token = await makeInvitation(deps, { purpose: "set-up", leadId: null });
  return `${deps.publicUrl()}/enter/${token}`;
}

/** Waits for a signal, then lets requests finish and closes the store. */
export async function untilStopped(running: Running): Promise<void> {
  await new Promise<void>((resolve) => {
    for (const signal of ["SIGINT", "SIGTERM"] as const) process.once(signal, () => resolve());
  });
  await running.close();
}
