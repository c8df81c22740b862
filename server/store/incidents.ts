import type { Selectable, Transaction } from "kysely";
import type { Store } from "./database.ts";
import type { Database } from "./schema.ts";

type Write = Transaction<Database>;
type Read = Store | Write;

/** A seat as incidents see it. */
export interface SeatInRoom {
  id: string;
  number: number;
  status: "free" | "tasting" | "left" | "withdrawn";
}

/** A tray as it stands before a seat: codes only, and whether it was answered. */
export interface TrayInRoom {
  presentationId: string;
  ordinal: number;
  codes: string[];
  answered: boolean;
  voidReason: string | null;
  /** It has been served again. */
  repeated: boolean;
}

export async function seatInRoom(
  db: Read,
  sessionId: string,
  number: number,
): Promise<SeatInRoom | undefined> {
  const row = await db
    .selectFrom("seats")
    .leftJoin("tasters", "tasters.seat_id", "seats.id")
    .select(["seats.id", "seats.number", "seats.joined_at", "seats.left_at", "tasters.seat_id"])
    .where("seats.session_id", "=", sessionId)
    .where("seats.number", "=", number)
    .executeTakeFirst();
  if (row === undefined) return undefined;
  const { id, joined_at, left_at, seat_id } = row;
  if (joined_at === null) return { id, number, status: "free" };
  if (seat_id === null) return { id, number, status: "withdrawn" };
  return { id, number, status: left_at === null ? "tasting" : "left" };
}

/** The number of the seat that the next taster gets; undefined when all are taken. */
export async function nextFreeSeat(db: Read, sessionId: string): Promise<number | undefined> {
  const row = await db
    .selectFrom("seats")
    .select("number")
    .where("session_id", "=", sessionId)
    .where("token_hash", "is", null)
    .where("joined_at", "is", null)
    .orderBy("number")
    .limit(1)
    .executeTakeFirst();
  return row?.number;
}

/** Every tray of a seat, in serving order. */
export async function traysOfSeat(db: Read, seatId: string): Promise<TrayInRoom[]> {
  const rows = await db
    .selectFrom("presentations")
    .leftJoin("ballots", "ballots.presentation_id", "presentations.id")
    .leftJoin("presentations as again", "again.repeats", "presentations.id")
    .select(["presentations.id", "presentations.ordinal", "presentations.void_reason"])
    .select(["ballots.id as ballotId", "again.id as againId"])
    .where("presentations.seat_id", "=", seatId)
    .orderBy("presentations.ordinal")
    .execute();
  const cups = await cupsOfSeat(db, seatId);
  return rows.map((row) => ({
    presentationId: row.id,
    ordinal: row.ordinal,
    codes: cups.filter((cup) => cup.presentation_id === row.id).map((cup) => cup.code),
    answered: row.ballotId !== null,
    voidReason: row.void_reason,
    repeated: row.againId !== null,
  }));
}

function cupsOfSeat(db: Read, seatId: string): Promise<Selectable<Database["cups"]>[]> {
  return db
    .selectFrom("cups")
    .selectAll()
    .where("seat_id", "=", seatId)
    .orderBy("position")
    .execute();
}

/** Marks a seat as left, or as back; what it has locked stays. */
export async function setLeft(trx: Write, seatId: string, at: string | null): Promise<void> {
  await trx.updateTable("seats").set({ left_at: at }).where("id", "=", seatId).execute();
}

export async function setPaused(trx: Write, sessionId: string, at: string | null): Promise<void> {
  await trx.updateTable("sessions").set({ paused_at: at }).where("id", "=", sessionId).execute();
}

export async function voidPresentation(
  trx: Write,
  presentationId: string,
  reason: string,
): Promise<void> {
  await trx
    .updateTable("presentations")
    .set({ void_reason: reason })
    .where("id", "=", presentationId)
    .where("void_reason", "is", null)
    .execute();
}

export async function isMixedUp(db: Read, presentationId: string): Promise<boolean> {
  const row = await db
    .selectFrom("mix_ups")
    .select("presentation_id")
    .where("presentation_id", "=", presentationId)
    .executeTakeFirst();
  return row !== undefined;
}

/** Keeps which two codes stood on each other's cups; the sealed key is not touched. */
export async function addMixUp(trx: Write, mixUp: Database["mix_ups"]): Promise<void> {
  await trx.insertInto("mix_ups").values(mixUp).execute();
}

/** Lets one phone take a seat over with a code that works once. */
export async function addSeatMove(
  trx: Write,
  move: { codeHash: string; seatId: string; expiresAt: string },
): Promise<void> {
  await trx
    .insertInto("seat_moves")
    .values({
      code_hash: move.codeHash,
      seat_id: move.seatId,
      expires_at: move.expiresAt,
      used_at: null,
    })
    .execute();
}
