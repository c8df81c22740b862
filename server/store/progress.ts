import type { Transaction } from "kysely";
import type { Store } from "./database.ts";
import type { Database } from "./schema.ts";

type Read = Store | Transaction<Database>;

/** One set of one seat, as far as the room may know: not what was answered, nor what was served. */
export interface SetProgress {
  ordinal: number;
  state: "waiting" | "saved" | "void";
  /** Served again in the place of one that is void. */
  repeats: boolean;
}

export interface SeatProgress {
  seat: number;
  status: "free" | "tasting" | "left";
  sets: SetProgress[];
}

/** How far every seat of a session is, in seat and serving order. */
export async function progressOf(db: Read, sessionId: string): Promise<SeatProgress[]> {
  const rows = await db
    .selectFrom("seats")
    .innerJoin("presentations", "presentations.seat_id", "seats.id")
    .leftJoin("ballots", "ballots.presentation_id", "presentations.id")
    .select([
      "seats.number as seat",
      "seats.joined_at as joinedAt",
      "seats.left_at as leftAt",
      "presentations.ordinal",
      "presentations.void_reason as voidReason",
      "presentations.repeats",
      "ballots.id as ballotId",
    ])
    .where("seats.session_id", "=", sessionId)
    .orderBy("seats.number")
    .orderBy("presentations.ordinal")
    .execute();
  const seats = new Map<number, SeatProgress>();
  for (const row of rows) {
    const status = statusOf(row.joinedAt, row.leftAt);
    const seat = seats.get(row.seat) ?? { seat: row.seat, status, sets: [] };
    seat.sets.push({
      ordinal: row.ordinal,
      state: setState(row.voidReason, row.ballotId),
      repeats: row.repeats !== null,
    });
    seats.set(row.seat, seat);
  }
  return [...seats.values()];
}

function statusOf(joinedAt: string | null, leftAt: string | null): SeatProgress["status"] {
  if (leftAt !== null) return "left";
  return joinedAt === null ? "free" : "tasting";
}

function setState(voidReason: string | null, ballotId: string | null): SetProgress["state"] {
  if (voidReason !== null) return "void";
  return ballotId === null ? "waiting" : "saved";
}
