import type { Deps } from "../deps.ts";
import { type JoinableSession, sessionToJoin } from "../store/blind.ts";
import { appendEvent } from "../store/events.ts";
import { isNameTaken, type Joining, takeSeat } from "../store/tasters.ts";

export type SeatingRefusal = "joinClosed" | "full";

/** Why nobody can join a session now; null when someone can. */
export function seatingRefusal({ state, hasRoom }: JoinableSession): SeatingRefusal | null {
  if (state === "closed" || state === "unblinded") return "joinClosed";
  return hasRoom ? null : "full";
}

/**
 * Takes the next free seat and notes it, together or not at all; or says why it can't be had, or that
 * somebody in this session goes by the name.
 */
export async function sit(
  deps: Deps,
  joinCode: string,
  joining: Joining,
): Promise<SeatingRefusal | "nameTaken" | null> {
  const refusal = await deps.store.transaction().execute(async (trx) => {
    // Looked at again inside the transaction: the last seat may have gone since the page was shown.
    const session = await sessionToJoin(trx, joinCode);
    const refused = session === undefined ? "joinClosed" : seatingRefusal(session);
    if (refused !== null) return refused;
    if (await isNameTaken(trx, joining.sessionId, joining.alias)) return "nameTaken";
    const seat = await takeSeat(trx, joining);
    await appendEvent(trx, joining.sessionId, {
      at: joining.at,
      actor: `seat:${seat.id}`,
      kind: "taster-joined",
      body: { seat: seat.number, consentHash: joining.consentHash },
    });
    return null;
  });
  if (refusal === null) deps.live.changed(joining.sessionId);
  return refusal;
}
