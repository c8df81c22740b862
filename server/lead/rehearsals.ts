import { existsSync } from "node:fs";
import { Worker } from "node:worker_threads";
import type { Tally } from "../../src/rehearsal/tally.ts";
import {
  type RehearsalJob,
  type RehearsalNews,
  rehearsalNewsSchema,
} from "./rehearsal-messages.ts";

/** One rehearsal as it stands. Stopped early it keeps what it counted, which is as fair, only less sure. */
export interface RehearsalRun {
  job: RehearsalJob;
  state: "waiting" | "running" | "done" | "stopped" | "failed";
  tallies: readonly Tally[];
  /** Why the plan can't be rehearsed. */
  problem: string | null;
}

/** Rehearsals in threads of their own, one at a time: ballots go on being received meanwhile. */
export interface Rehearsals {
  /** Starts or queues one under a name, in place of an earlier one; false when too many wait. */
  start(name: string, job: RehearsalJob): boolean;
  of(name: string): RehearsalRun | undefined;
  stop(name: string): void;
  close(): Promise<void>;
}

const LIMITS = { waiting: 8, kept: 50, milliseconds: 10 * 60_000 };

interface Entry {
  run: RehearsalRun;
  worker: Worker | null;
}

/** Keeps rehearsals in memory: they cost seconds to play again and nobody needs them after a restart. */
export function makeRehearsals(limits = LIMITS): Rehearsals {
  const entries = new Map<string, Entry>();
  const inState = (state: RehearsalRun["state"]) =>
    [...entries.values()].filter(({ run }) => run.state === state);

  const end = async (entry: Entry, state: "done" | "stopped" | "failed") => {
    if (entry.run.state === "running" || entry.run.state === "waiting") entry.run.state = state;
    const { worker } = entry;
    entry.worker = null;
    await worker?.terminate();
    next();
  };
  const next = () => {
    const [waiting] = inState("waiting");
    if (waiting === undefined || inState("running").length > 0) return;
    waiting.run.state = "running";
    waiting.worker = play(waiting.run, (state) => end(waiting, state), limits.milliseconds);
  };
  return {
    start(name, job) {
      const earlier = entries.get(name);
      if (inState("waiting").filter((entry) => entry !== earlier).length >= limits.waiting) {
        return false;
      }
      entries.delete(name);
      entries.set(name, {
        run: { job, state: "waiting", tallies: [], problem: null },
        worker: null,
      });
      forgetOldest(entries, limits.kept);
      if (earlier) void end(earlier, "stopped");
      next();
      return true;
    },
    of: (name) => entries.get(name)?.run,
    stop(name) {
      const entry = entries.get(name);
      if (entry) void end(entry, "stopped");
    },
    async close() {
      const all = [...entries.values()];
      entries.clear();
      await Promise.all(all.map((entry) => end(entry, "stopped")));
    },
  };
}

/** Plays a run in a thread; `ended` is called once at least, whatever happens. */
function play(
  run: RehearsalRun,
  ended: (state: "done" | "stopped" | "failed") => Promise<void>,
  milliseconds: number,
): Worker {
  const worker = new Worker(workerFile(), { workerData: run.job });
  const timer = setTimeout(() => void ended("stopped"), milliseconds);
  worker.on("message", (message: unknown) => {
    const news: RehearsalNews = rehearsalNewsSchema.parse(message);
    if ("cannotServe" in news) {
      run.problem = news.cannotServe;
      void ended("failed");
      return;
    }
    run.tallies = news.tallies;
    if (news.done) void ended("done");
  });
  worker.on("error", () => {
    run.problem = "something broke on our side; try again, and look at the version that runs";
    void ended("failed");
  });
  worker.on("exit", () => {
    clearTimeout(timer);
    void ended("failed");
  });
  return worker;
}

function forgetOldest(entries: Map<string, Entry>, kept: number): void {
  for (const [name, { run }] of entries) {
    if (entries.size <= kept) return;
    if (run.state !== "running" && run.state !== "waiting") entries.delete(name);
  }
}

/** A thread needs JavaScript: the file beside this one in the build, or the build when this is the source. */
function workerFile(): URL {
  const beside = new URL("./rehearsal-worker.js", import.meta.url);
  return existsSync(beside)
    ? beside
    : new URL("../../dist/server/lead/rehearsal-worker.js", import.meta.url);
}
