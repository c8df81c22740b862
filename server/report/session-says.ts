import { decide, leadingReading } from "../../src/report/analysis.ts";
import { type SessionAnswers, sessionAnswers } from "../../src/report/synthesis/session-answers.ts";
import { type Memory, makeMemory } from "../memory.ts";
import type { Store } from "../store/database.ts";
import { evidenceOf } from "../store/evidence.ts";
import type { OpenedSession } from "./evidence-sessions.ts";

/** What one session contributes to evidence over sessions. */
export interface SessionSays {
  /** Its own report stands; an unsound test is no evidence, and says nothing with others either. */
  sound: boolean;
  /** By endpoint, under the session's own name and its own sides. */
  answers: ReadonlyMap<string, SessionAnswers>;
}

/** Answers that are remembered: some thousand sessions of a usual size, in some dozen megabytes. */
const REMEMBERED_ANSWERS = 300_000;

const memories = new WeakMap<Store, Memory<SessionSays>>();

/**
 * What an unblinded session says, remembered by the head of its log: a withdrawal, an erasure or a
 * late incident lengthens the log, and the session is read anew.
 */
export async function sessionSays(
  db: Store,
  session: OpenedSession,
  head: string,
): Promise<SessionSays> {
  const memory = memories.get(db) ?? makeMemory(REMEMBERED_ANSWERS, weightOf);
  memories.set(db, memory);
  return await memory(session.id, head, () => read(db, session));
}

async function read(db: Store, { id, plan, name }: OpenedSession): Promise<SessionSays> {
  const evidence = leadingReading(await evidenceOf(db, id, plan));
  const as = { label: name, swapped: false };
  return {
    sound: decide(evidence).headline !== "not-sound",
    answers: new Map(
      plan.endpoints.map((endpoint) => [endpoint.id, sessionAnswers(evidence, endpoint, as)]),
    ),
  };
}

/** A session without an answer takes room too. */
function weightOf({ answers }: SessionSays): number {
  return [...answers.values()].reduce(
    (sum, { observations, yields }) => sum + observations.length + yields.length,
    1,
  );
}
