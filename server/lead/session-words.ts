import type { SessionState } from "../../src/experiment/session.ts";
import type { Session } from "../store/sessions.ts";

const stateWords: Record<SessionState, string> = {
  draft: "not sealed yet",
  sealed: "sealed, not open yet",
  open: "open: tasters can answer",
  closed: "closed, key still shut",
  unblinded: "key open",
};

/** A session's state as a lead reads it. */
export function stateInWords({ state, origin }: Pick<Session, "state" | "origin">): string {
  return origin === "imported" ? "imported, not blinded here" : stateWords[state];
}

/** A session in a list. */
export function sessionLine(session: Session) {
  const { id, name, heldOn } = session;
  return { id, name, heldOn, state: stateInWords(session) };
}
