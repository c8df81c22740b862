import { mkdtempSync, rmSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { toString as drawQr } from "qrcode";
import { buildApp } from "../server/app.ts";
import { untilStopped } from "../server/commands/serve.ts";
import type { Terminal } from "../server/commands/terminal.ts";
import { type Config, describeSettings, readConfig } from "../server/config.ts";
import type { Deps } from "../server/deps.ts";
import { joinLink } from "../server/join-code.ts";
import { makeInvitation } from "../server/lead/invitation.ts";
import { makeLink } from "../server/lead/links.ts";
import { makeDeps, openDataFile, start } from "../server/running.ts";
import { leadByName } from "../server/store/leads.ts";
import { sessionById } from "../server/store/sessions.ts";
import { stream } from "../src/design/random.ts";
import { questionsFor } from "../src/experiment/ballot.ts";
import { brewSheetOf } from "./brewing.ts";
import { normal, taste } from "./palate.ts";
import { answerSet, firstLead, joinAsTaster, planExperiment, sealSession, step } from "./play.ts";
import { demoPlan, demoTasters, demoTruth } from "./scenario.ts";
import { trueSets } from "./truth.ts";
import type { Visitor } from "./visitor.ts";

export const demoHelp = `evenpour demo: fills a new data file with an invented scenario and serves it

${describeSettings()}

The data file is a temporary one, removed when the demo stops.`;

const DEMO_LEAD = { name: "Demo lead", passphrase: "three slow kettles" };

/** Plays the invented scenario through the program's own doors, then serves it and prints the links. */
export async function demo(args: string[], terminal: Terminal): Promise<number> {
  const config = readConfig(args, terminal.environment);
  if (!config.ok) return terminal.fail(config.message);
  const folder = mkdtempSync(join(tmpdir(), "evenpour-demo-"));
  try {
    return await playAndServe(
      { ...config.config, dataFile: join(folder, "demo.sqlite") },
      terminal,
    );
  } finally {
    rmSync(folder, { recursive: true });
  }
}

async function playAndServe(config: Config, terminal: Terminal): Promise<number> {
  terminal.say("Filling the demo: one finished session, one waiting for tasters …");
  const opened = await openDataFile(config.dataFile);
  if (!opened.ok) return terminal.fail(opened.message);
  const played = await playDemo(makeDeps(opened.store, () => "http://demo.invalid", config));
  await opened.store.destroy();
  const started = await start(config);
  if (!started.ok) return terminal.fail(started.message);
  const { deps } = started.running;
  await printLinks(deps, played, terminal);
  await untilStopped(started.running);
  return 0;
}

async function printLinks(deps: Deps, played: PlayedDemo, terminal: Terminal): Promise<void> {
  const signIn = await makeInvitation(deps, { purpose: "sign-in", leadId: played.leadId });
  const wish = { shows: "report", note: "demo", days: 7 } as const;
  const report = await makeLink(deps, played.finished, played.leadId, wish);
  const waiting = await sessionById(deps.store, played.waiting);
  const joining = joinLink(deps, waiting?.sealed?.joinCode ?? "");
  terminal.say(`
Lead, sign in once:     ${deps.publicUrl()}/enter/${signIn}
  or at any time as     ${DEMO_LEAD.name}, passphrase “${DEMO_LEAD.passphrase}”
Tasters, join:          ${joining}
${await drawQr(joining, { type: "utf8" })}
A finished report:      ${report}

Serving at ${deps.publicUrl()} until you press Ctrl+C.`);
}

/** What the demo left behind. */
export interface PlayedDemo {
  leadId: string;
  experimentId: string;
  /** Unblinded, with its report. */
  finished: string;
  /** Open and waiting for tasters. */
  waiting: string;
}

/** Plays one session to its report and opens a second one. The same every time but for its draw. */
export async function playDemo(real: Deps): Promise<PlayedDemo> {
  const deps = { ...real, clock: hastened(real.clock) };
  const app = await buildApp(deps, {
    logLevel: "silent",
    cookieSecret: "the demo is played by itself",
  });
  try {
    const lead = await firstLead(app, deps, DEMO_LEAD);
    const experimentId = await planExperiment(lead, demoPlan);
    const today = real.clock().toISOString().slice(0, 10);
    const finished = await sealSession(lead, experimentId, {
      sessionName: "First sitting",
      heldOn: today,
    });
    await play(deps, lead, finished, async (name, code) => await joinAsTaster(app, code, name));
    const waiting = await sealSession(lead, experimentId, {
      sessionName: "Second sitting",
      heldOn: today,
    });
    await step(lead, waiting, "opening");
    const leadId = (await leadByName(deps.store, DEMO_LEAD.name))?.id ?? "";
    return { leadId, experimentId, finished, waiting };
  } finally {
    await app.close();
  }
}

async function play(
  deps: Deps,
  lead: Visitor,
  sessionId: string,
  join: (name: string, code: string) => Promise<Visitor>,
): Promise<void> {
  const session = await sessionById(deps.store, sessionId);
  if (session?.sealed == null) throw new Error("The demo's session is sealed by now");
  const { plan, joinCode } = session.sealed;
  await step(lead, sessionId, "opening");
  const random = stream(new TextEncoder().encode("evenpour demo, an invented panel"), "tasters");
  const importPage = `/lead/sessions/${sessionId}/brews/import`;
  await lead.get(importPage);
  const sheet = await brewSheetOf(deps.store, sessionId, plan, random);
  await lead.post(importPage, { sheet, act: "store" });
  const sets = await trueSets(deps.store, sessionId);
  const leans = new Map<string, number>();
  for (const [index, name] of demoTasters.entries()) {
    const taster = await join(name, joinCode);
    for (const set of sets.filter(({ seat }) => seat === index + 1)) {
      const pair = `${set.coffeeId}/${set.pair}`;
      if (!leans.has(pair)) leans.set(pair, demoTruth.potSpread * normal(random));
      const served = { ...set, samePot: set.control !== null, pairLean: leans.get(pair) ?? 0 };
      const answers = taste(questionsFor(plan.endpoints, set.set), served, random);
      await answerSet(taster, set.ordinal, answers);
    }
  }
  await step(lead, sessionId, "closure");
  await step(lead, sessionId, "unblinding");
}

/** A clock that starts two hours ago and goes on a little with every look, as if people took their time. */
function hastened(clock: () => Date): () => Date {
  let moment = clock().getTime() - 2 * 3_600_000;
  return () => {
    moment += 500;
    return new Date(moment);
  };
}
