import type { Endpoint } from "../../src/experiment/endpoint.ts";
import type { Plan } from "../../src/experiment/plan.ts";
import { questionOf, questionSlug } from "../../src/report/synthesis/question.ts";
import type { SessionAnswers } from "../../src/report/synthesis/session-answers.ts";
import type { Store } from "../store/database.ts";
import { chainHeads } from "../store/events.ts";
import type { Session } from "../store/sessions.ts";
import { type SessionSays, sessionSays } from "./session-says.ts";

/** A session whose key is open, with the plan it was sealed under: what may be combined. */
export interface OpenedSession {
  id: string;
  experimentId: string;
  name: string;
  heldOn: string | null;
  plan: Plan;
  sealedAt: string;
  unblindedAt: string;
}

/** Every session whose plan was sealed and whose key is open, in the order they come. */
export function openedAmong(sessions: readonly Session[]): OpenedSession[] {
  return sessions.flatMap(opened);
}

/** Plans of imported panels: nothing was sealed before their answers, so they are no evidence here. */
export function importedAmong(sessions: readonly Session[]): Plan[] {
  return sessions.flatMap(({ origin, sealed }) =>
    origin === "imported" && sealed !== null ? [sealed.plan] : [],
  );
}

function opened(session: Session): OpenedSession[] {
  const { sealed, sealedAt, unblindedAt, state } = session;
  if (state !== "unblinded" || sealed === null || sealedAt === null || unblindedAt === null) {
    return [];
  }
  const { id, experimentId, name, heldOn } = session;
  return [{ id, experimentId, name, heldOn, plan: sealed.plan, sealedAt, unblindedAt }];
}

export interface ReadSession {
  session: OpenedSession;
  says: SessionSays;
}

/** Reads what sessions say, one after the other; what didn't change since the last time is remembered. */
export async function readSessions(
  db: Store,
  sessions: readonly OpenedSession[],
): Promise<ReadSession[]> {
  const heads = await chainHeads(
    db,
    sessions.map(({ id }) => id),
  );
  const read: ReadSession[] = [];
  for (const session of sessions) {
    read.push({ session, says: await sessionSays(db, session, heads.get(session.id) ?? "") });
  }
  return read;
}

/** One session's answers to a question, with the name and the side that a comparison gives them. */
export function answersTo(
  { session, says }: ReadSession,
  slug: string,
  as: { label: string; swapped: boolean },
): SessionAnswers[] {
  const endpoint = asking(session.plan, slug);
  const answers = endpoint && says.answers.get(endpoint.id);
  return answers ? [{ ...answers, ...as }] : [];
}

/** A plan's endpoint that asks a question, if it does. */
export function asking(plan: Plan, slug: string): Endpoint | undefined {
  return plan.endpoints.find((endpoint) => questionSlug(questionOf(endpoint)) === slug);
}
