import type { Transaction } from "kysely";
import type { SessionEvent } from "../src/experiment/event.ts";
import { coffeeName, type Plan } from "../src/experiment/plan.ts";
import {
  type LoggedPouring,
  mayCorrectPouring,
  mayPour,
  POURED,
  POURING_CORRECTED,
  pouringsOf,
} from "../src/experiment/pouring.ts";
import { type Deps, now } from "./deps.ts";
import type { PublicRefusal } from "./errors.ts";
import { inRounds } from "./rounds.ts";
import type { Store } from "./store/database.ts";
import { appendEvent, eventsOf } from "./store/events.ts";
import type { Database } from "./store/schema.ts";
import { sessionById } from "./store/sessions.ts";
import { potsToPour } from "./store/sheets.ts";

type Read = Store | Transaction<Database>;

/** A pouring round as sheets and room name it, with every time that it was poured, earliest first. */
export interface RoundToPour {
  round: number;
  coffeeId: string;
  pair: number;
  coffee: string;
  letters: string[];
  pourings: LoggedPouring[];
}

export async function roundsToPour(
  db: Read,
  sessionId: string,
  plan: Plan,
  events: readonly SessionEvent[],
): Promise<RoundToPour[]> {
  const pourings = pouringsOf(events);
  const rounds = inRounds(await potsToPour(db, sessionId));
  return rounds.map(({ round, coffeeId, pair, cups: pots }) => ({
    round,
    coffeeId,
    pair,
    coffee: coffeeName(plan, coffeeId),
    letters: pots.map(({ letter }) => letter).toSorted(),
    pourings: pourings.filter((one) => one.coffeeId === coffeeId && one.pair === pair),
  }));
}

/** Somebody says that a round was poured now. */
export interface PouringAct {
  sessionId: string;
  actor: string;
  round: number;
  /** Pourings of the round that the page showed: a button pressed twice records one. */
  known: number;
}

export type PouringOutcome = "recorded" | "known-already" | "no-round" | "not-now";

/** Records that a round was poured now, as an event in one transaction. */
export async function recordPouring(deps: Deps, act: PouringAct): Promise<PouringOutcome> {
  const at = now(deps);
  const outcome = await deps.store.transaction().execute(async (trx): Promise<PouringOutcome> => {
    const session = await sessionById(trx, act.sessionId);
    if (!session?.sealed) return "no-round";
    if (!mayPour(session.state)) return "not-now";
    const events = await eventsOf(trx, session.id);
    const rounds = await roundsToPour(trx, session.id, session.sealed.plan, events);
    const poured = rounds.find(({ round }) => round === act.round);
    if (poured === undefined) return "no-round";
    if (poured.pourings.length !== act.known) return "known-already";
    const { round, coffeeId, pair } = poured;
    const body = { round, coffeeId, pair, pouredAt: at };
    await appendEvent(trx, session.id, { at, actor: act.actor, kind: POURED, body });
    return "recorded";
  });
  if (outcome === "recorded") deps.live.changed(act.sessionId);
  return outcome;
}

/** A correction of a pouring's time; null when nothing was poured. */
export interface PouringCorrection {
  sessionId: string;
  actor: string;
  round: number;
  sequence: number;
  pouredAt: string | null;
}

/** Records a correction beside the pouring; false when the key has been opened meanwhile. */
export async function correctPouring(deps: Deps, act: PouringCorrection): Promise<boolean> {
  const { sessionId, actor, round, sequence, pouredAt } = act;
  const corrected = await deps.store.transaction().execute(async (trx) => {
    const session = await sessionById(trx, sessionId);
    if (session === undefined || !mayCorrectPouring(session.state)) return false;
    const body = { round, sequence, pouredAt };
    await appendEvent(trx, sessionId, { at: now(deps), actor, kind: POURING_CORRECTED, body });
    return true;
  });
  if (corrected) deps.live.changed(sessionId);
  return corrected;
}

/** Cups are poured for a session that waits for its tasters or has them. */
export const noPouringNow: PublicRefusal = {
  status: 409,
  headline: "Nothing is poured in this session now",
  advice:
    "Times of pouring are recorded from sealing until closing, and corrected until the key is open.",
};
