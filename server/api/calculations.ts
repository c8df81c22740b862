import { once } from "node:events";
import { existsSync } from "node:fs";
import { Worker } from "node:worker_threads";
import { type ErrorBody, statusOf } from "./answer.ts";
import { type Reply, replySchema } from "./calculation-messages.ts";

/** Longer than this is a calculation for the command line. */
const LIMITS = { milliseconds: 10_000 };
const MOST_WAITING = 200;
/** One address may have this many unanswered, so that it can't fill the queue before everyone else. */
const MOST_WAITING_BY_ADDRESS = 4;

/** Calculations in a thread of their own: however long one takes, ballots go on being received. */
export interface Calculations {
  /** Answers a JSON text from an address with a calculator, in turn with the others. */
  answer(address: string, name: string, text: string): Promise<Reply>;
  close(): Promise<void>;
}

/** Starts the thread at the first question, and again after one that took too long. */
export function makeCalculations(limits = LIMITS): Calculations {
  let worker: Worker | undefined;
  let waiting = 0;
  const waitingBy = new Map<string, number>();
  let turn: Promise<unknown> = Promise.resolve();

  const count = (address: string, change: 1 | -1) => {
    waiting += change;
    const own = (waitingBy.get(address) ?? 0) + change;
    if (own === 0) waitingBy.delete(address);
    else waitingBy.set(address, own);
  };
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
    answer: async (address, name, text) => {
      const own = waitingBy.get(address) ?? 0;
      if (own >= MOST_WAITING_BY_ADDRESS)
        return refusal("too-busy", "Four calculations from here wait. Ask when one is answered.");
      if (waiting >= MOST_WAITING)
        return refusal("too-busy", "Too many calculations wait. Try again in a moment.");
      count(address, 1);
      const mine = turn
        .then(() => ask(name, text))
        .finally(() => {
          count(address, -1);
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
