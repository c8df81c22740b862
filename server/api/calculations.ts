import { once } from "node:events";
import { existsSync } from "node:fs";
import { Worker } from "node:worker_threads";
import { type ErrorBody, statusOf } from "./answer.ts";
import { type Reply, replySchema } from "./calculation-messages.ts";

/** Longer than this is a calculation for the command line. */
const LIMITS = { milliseconds: 10_000 };
const MOST_WAITING = 200;

/** Calculations in a thread of their own: however long one takes, ballots go on being received. */
export interface Calculations {
  /** Answers a JSON text with a calculator, in turn with the others. */
  answer(name: string, text: string): Promise<Reply>;
  close(): Promise<void>;
}

/** Starts the thread at the first question, and again after one that took too long. */
export function makeCalculations(limits = LIMITS): Calculations {
  let worker: Worker | undefined;
  let waiting = 0;
  let turn: Promise<unknown> = Promise.resolve();

  const drop = async () => {
    const dropped = worker;
    worker = undefined;
    await dropped?.terminate();
  };
  const ask = async (name: string, text: string): Promise<Reply> => {
    worker ??= new Worker(workerFile()).setMaxListeners(0);
    const limit = AbortSignal.timeout(limits.milliseconds);
    const replied = once(worker, "message", { signal: limit });
    worker.postMessage({ name, text });
    try {
      const [message] = await replied;
      return replySchema.parse(message);
    } catch (error) {
      await drop();
      if (limit.aborted)
        return refusal(
          "too-long",
          "This takes too long for a shared server. Ask the command line, or ask for less.",
        );
      throw error;
    }
  };
  return {
    answer: async (name, text) => {
      if (waiting >= MOST_WAITING)
        return refusal("too-busy", "Too many calculations wait. Try again in a moment.");
      waiting += 1;
      const mine = turn
        .then(() => ask(name, text))
        .finally(() => {
          waiting -= 1;
        });
      turn = mine.catch(() => undefined);
      return await mine;
    },
    close: drop,
  };
}

function refusal(code: ErrorBody["error"]["code"], message: string): Reply {
  const body: ErrorBody = { error: { code, message } };
  return { status: statusOf[code], json: JSON.stringify(body) };
}

/** A thread needs JavaScript: the file beside this one in the build, or the build when this is the source. */
function workerFile(): URL {
  const beside = new URL("./calculation-worker.js", import.meta.url);
  return existsSync(beside)
    ? beside
    : new URL("../../dist/server/api/calculation-worker.js", import.meta.url);
}
