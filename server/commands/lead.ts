import { parseArgs } from "node:util";
import { readConfig } from "../config.ts";
import { makeInvitation } from "../lead/invitation.ts";
import { makeDeps, openDataFile } from "../running.ts";
import { listLeads } from "../store/colleagues.ts";
import { leadByName } from "../store/leads.ts";
import type { Terminal } from "./terminal.ts";

export const leadHelp = `evenpour lead reset NAME [--data FILE] [--public-url URL]
prints a link, good once, with which the lead of that name chooses a new passphrase`;

/** Makes a reset link for a lead who lost the passphrase. */
export async function lead(args: string[], terminal: Terminal): Promise<number> {
  const { positionals } = parseArgs({ args, strict: false, allowPositionals: true });
  const [act, name] = positionals;
  if (act !== "reset" || name === undefined) return terminal.fail(leadHelp);
  const flags = args.filter((argument) => argument !== act && argument !== name);
  const config = readConfig(flags, terminal.environment);
  if (!config.ok) return terminal.fail(config.message);
  const opened = await openDataFile(config.config.dataFile);
  if (!opened.ok) return terminal.fail(opened.message);
  const publicUrl = config.config.publicUrl || `http://127.0.0.1:${config.config.port}`;
  const deps = makeDeps(opened.store, () => publicUrl.replace(/\/+$/, ""), config.config);
  try {
    const found = await leadByName(deps.store, name);
    if (found === undefined) {
      const names = (await listLeads(deps.store)).map((known) => known.name).join(", ");
      return terminal.fail(`There is no lead called ${name}. Known: ${names || "nobody yet"}`);
    }
    const token = await makeInvitation(deps, { purpose: "reset", leadId: found.id });
    terminal.say(`${deps.publicUrl()}/enter/${token}`);
    return 0;
  } finally {
    await opened.store.destroy();
  }
}
