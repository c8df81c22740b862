import { parentPort, workerData } from "node:worker_threads";
import { makeKit } from "../../src/design/kit.ts";
import { stream } from "../../src/design/random.ts";
import { chanceFrom } from "../../src/rehearsal/chance.ts";
import { simulate } from "../../src/rehearsal/simulate.ts";
import { kitInput } from "../sealing.ts";
import { type RehearsalNews, rehearsalJobSchema } from "./rehearsal-messages.ts";

if (parentPort === null) throw new Error("This file runs as a worker only");
const port = parentPort;
const tell = (news: RehearsalNews) => port.postMessage(news);

/** News often enough for a progress bar, seldom enough to cost nothing. */
const NEWS_EVERY_MILLISECONDS = 200;

const { plan, assumptions, panels, seedHex } = rehearsalJobSchema.parse(workerData);
const seed = Buffer.from(seedHex, "hex");
const made = makeKit(kitInput(plan), (name) => stream(seed, name));
if (made.ok) {
  let told = performance.now();
  const rehearsal = { plan, kit: made.kit, assumptions, panels };
  for (const tallies of simulate(rehearsal, chanceFrom(seed.readInt32LE()))) {
    const done = tallies.every((tally) => tally.panels === panels);
    if (!done && performance.now() - told < NEWS_EVERY_MILLISECONDS) continue;
    told = performance.now();
    tell({ tallies: [...tallies], done });
  }
} else tell({ cannotServe: made.message });
