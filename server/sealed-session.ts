import type { Plan } from "../src/experiment/plan.ts";
import type { SessionState } from "../src/experiment/session.ts";
import type { PublicRefusal } from "./errors.ts";
import type { Store } from "./store/database.ts";
import { type SealedPart, type Session, sessionById } from "./store/sessions.ts";

/** A session whose plan is fixed, so that it has pots, cups and codes. */
export interface SealedSession {
  id: string;
  name: string;
  state: SessionState;
  /** `imported` when an outside panel gave the answers. */
  origin: Session["origin"];
  heldOn: string | null;
  plan: Plan;
  sealed: SealedPart;
}

/** A session by id once it is sealed; a draft has nothing to log, print or report. */
export async function sealedSession(db: Store, id: string): Promise<SealedSession | undefined> {
  const session = await sessionById(db, id);
  if (session === undefined || session.sealed === null) return undefined;
  const { name, state, origin, heldOn, sealed } = session;
  return { id, name, state, origin, heldOn, plan: sealed.plan, sealed };
}

/** What unblinding ended: the data are locked. */
export const dataLocked: PublicRefusal = {
  status: 409,
  headline: "The key is open, so the brew log is locked",
  advice:
    "Data are final once a session is unblinded. Write what went wrong into the report's notes.",
};
