import type { Transaction } from "kysely";
import type { SessionState } from "../src/experiment/session.ts";
import { type Seat, seatById } from "./store/blind.ts";
import { appendEvent } from "./store/events.ts";
import type { Database } from "./store/schema.ts";
import { eraseTaster, voidSeat } from "./store/tasters.ts";

/** Until closing, whoever withdraws takes their answers along; afterwards only their name. */
export function answersCanBeVoided({ state }: { state: SessionState }): boolean {
  return state === "sealed" || state === "open";
}

/**
 * Erases who sits on a seat, with its event: before closing the seat's answers are voided, afterwards
 * they stay and only lose their name. True when they were voided.
 */
export async function withdraw(
  trx: Transaction<Database>,
  seat: Pick<Seat, "id" | "sessionId" | "state">,
  act: { at: string; actor: string },
): Promise<boolean> {
  // The session may have closed since the page was shown.
  const voids = answersCanBeVoided((await seatById(trx, seat.id)) ?? seat);
  if (voids) await voidSeat(trx, { seatId: seat.id, reason: "withdrawn", at: act.at });
  await eraseTaster(trx, seat.id);
  const kind = voids ? "taster-withdrew" : "taster-unlinked";
  const body = act.actor === `seat:${seat.id}` ? {} : { seatId: seat.id };
  await appendEvent(trx, seat.sessionId, { ...act, kind, body });
  return voids;
}
