import type { Transaction } from "kysely";
import type { Database } from "./schema.ts";

type Write = Transaction<Database>;

export interface Joining {
  sessionId: string;
  tokenHash: string;
  alias: string;
  language: string;
  /** Hash of the consent text as it was shown. */
  consentHash: string;
  /** The number on the seat card that was scanned; null without one. */
  seat: number | null;
  at: string;
}

/** Whether somebody in a session goes by a name already, however it is spaced or capitalised. */
export async function isNameTaken(trx: Write, sessionId: string, alias: string): Promise<boolean> {
  const named = await trx
    .selectFrom("tasters")
    .innerJoin("seats", "seats.id", "tasters.seat_id")
    .select("tasters.alias")
    .where("seats.session_id", "=", sessionId)
    .execute();
  return named.some((taster) => bareName(taster.alias) === bareName(alias));
}

function bareName(name: string): string {
  return name.normalize("NFKC").toLowerCase().replace(/\s/g, "");
}

/**
 * Gives a free seat of a session, which must have one, to a taster: that of the scanned card, or
 * the lowest.
 */
export async function takeSeat(
  trx: Write,
  joining: Joining,
): Promise<{ id: string; number: number }> {
  const free = await trx
    .selectFrom("seats")
    .select(["id", "number"])
    .where("session_id", "=", joining.sessionId)
    .where("token_hash", "is", null)
    .where("left_at", "is", null)
    .orderBy(({ eb }) => eb.case().when("number", "=", joining.seat).then(0).else(1).end())
    .orderBy("number")
    .limit(1)
    .executeTakeFirstOrThrow();
  await trx
    .updateTable("seats")
    .set({ token_hash: joining.tokenHash, joined_at: joining.at })
    .where("id", "=", free.id)
    .execute();
  await trx
    .insertInto("tasters")
    .values({
      seat_id: free.id,
      alias: joining.alias,
      language: joining.language,
      consented_at: joining.at,
      consent_hash: joining.consentHash,
    })
    .execute();
  return free;
}

/** Voids what a seat has been or would be served, and marks the seat as left. */
export async function voidSeat(
  trx: Write,
  act: { seatId: string; reason: string; at: string },
): Promise<void> {
  await trx
    .updateTable("presentations")
    .set({ void_reason: act.reason })
    .where("seat_id", "=", act.seatId)
    .where("void_reason", "is", null)
    .execute();
  await trx.updateTable("seats").set({ left_at: act.at }).where("id", "=", act.seatId).execute();
}

/** Erases who sat on a seat: name, comments, and the token that ties the phone to it. */
export async function eraseTaster(trx: Write, seatId: string): Promise<void> {
  const ballots = trx
    .selectFrom("ballots")
    .innerJoin("presentations", "presentations.id", "ballots.presentation_id")
    .select("ballots.id")
    .where("presentations.seat_id", "=", seatId);
  const trays = trx.selectFrom("presentations").select("id").where("seat_id", "=", seatId);
  await trx.deleteFrom("comments").where("ballot_id", "in", ballots).execute();
  await trx.deleteFrom("paper_readings").where("presentation_id", "in", trays).execute();
  await trx.deleteFrom("tasters").where("seat_id", "=", seatId).execute();
  await trx.updateTable("seats").set({ token_hash: null }).where("id", "=", seatId).execute();
}

/** Ties a seat to another phone's token; the token before it and the code are spent. */
export async function moveSeat(
  trx: Write,
  move: { seatId: string; codeHash: string; tokenHash: string; at: string },
): Promise<void> {
  await trx
    .updateTable("seat_moves")
    .set({ used_at: move.at })
    .where("code_hash", "=", move.codeHash)
    .execute();
  await trx
    .updateTable("seats")
    .set({ token_hash: move.tokenHash })
    .where("id", "=", move.seatId)
    .execute();
}
