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
export function stateInWords(state: SessionState): string {
  return stateWords[state];
}

/** A session in a list. */
export function sessionLine({ id, name, heldOn, state }: Session) {
  return { id, name, heldOn, state: stateWords[state] };
}
