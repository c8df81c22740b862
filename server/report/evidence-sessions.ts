import type { Endpoint } from "../../src/experiment/endpoint.ts";
import type { Plan } from "../../src/experiment/plan.ts";
import { decide } from "../../src/report/analysis.ts";
import type { Evidence } from "../../src/report/evidence.ts";
import { questionOf, questionSlug } from "../../src/report/synthesis/question.ts";
import type { Store } from "../store/database.ts";
import { evidenceOf } from "../store/evidence.ts";
import { listSessions, type Session } from "../store/sessions.ts";

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

/** Every unblinded session, of one experiment or of all, in the order they were set up. */
export async function openedSessions(db: Store, experimentId?: string): Promise<OpenedSession[]> {
  return (await listSessions(db, experimentId)).flatMap(opened);
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
  evidence: Evidence;
  /** Its own report stands; an unsound test is no evidence, and says nothing with others either. */
  sound: boolean;
}

/** Reads the evidence of sessions, one after the other. */
export async function readSessions(
  db: Store,
  sessions: readonly OpenedSession[],
): Promise<ReadSession[]> {
  const read: ReadSession[] = [];
  for (const session of sessions) {
    const evidence = await evidenceOf(db, session.id, session.plan);
    read.push({ session, evidence, sound: decide(evidence).headline !== "not-sound" });
  }
  return read;
}

/** A plan's endpoint that asks a question, if it does. */
export function asking(plan: Plan, slug: string): Endpoint | undefined {
  return plan.endpoints.find((endpoint) => questionSlug(questionOf(endpoint)) === slug);
}
