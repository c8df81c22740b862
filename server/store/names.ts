import type { Transaction } from "kysely";
import type { Store } from "./database.ts";
import type { Database } from "./schema.ts";
import { eraseTaster } from "./tasters.ts";

type Write = Transaction<Database>;
type Read = Store | Write;

/** Sessions whose key was opened by `latest` and that still hold a name or a comment. */
export async function sessionsWithNames(db: Read, latest: string): Promise<string[]> {
  const rows = await db
    .selectFrom("sessions")
    .select("sessions.id")
    .where("sessions.unblinded_at", "<=", latest)
    .where(({ exists, or, selectFrom }) =>
      or([
        exists(
          selectFrom("tasters")
            .innerJoin("seats", "seats.id", "tasters.seat_id")
            .select("tasters.seat_id")
            .whereRef("seats.session_id", "=", "sessions.id"),
        ),
        exists(
          selectFrom("comments")
            .innerJoin("ballots", "ballots.id", "comments.ballot_id")
            .innerJoin("presentations", "presentations.id", "ballots.presentation_id")
            .innerJoin("seats", "seats.id", "presentations.seat_id")
            .select("comments.ballot_id")
            .whereRef("seats.session_id", "=", "sessions.id"),
        ),
        exists(
          selectFrom("mix_ups")
            .innerJoin("presentations", "presentations.id", "mix_ups.presentation_id")
            .innerJoin("seats", "seats.id", "presentations.seat_id")
            .select("mix_ups.witness")
            .where("mix_ups.witness", "is not", null)
            .whereRef("seats.session_id", "=", "sessions.id"),
        ),
      ]),
    )
    .orderBy("sessions.id")
    .execute();
  return rows.map(({ id }) => id);
}

/** Erases every name and comment of a session; returns how many seats had been joined. */
export async function eraseNames(trx: Write, sessionId: string): Promise<number> {
  const seats = await trx
    .selectFrom("seats")
    .select("id")
    .where("session_id", "=", sessionId)
    .where("joined_at", "is not", null)
    .execute();
  for (const { id } of seats) await eraseTaster(trx, id);
  await eraseWitnesses(trx, sessionId);
  return seats.length;
}

/** Erases who else saw a mixed-up tray; that there was a second name stays in the log. */
async function eraseWitnesses(trx: Write, sessionId: string): Promise<void> {
  const trays = trx
    .selectFrom("presentations")
    .innerJoin("seats", "seats.id", "presentations.seat_id")
    .select("presentations.id")
    .where("seats.session_id", "=", sessionId);
  await trx
    .updateTable("mix_ups")
    .set({ witness: null })
    .where("presentation_id", "in", trays)
    .execute();
}

/** Who sits where: names and nothing that anyone answered. */
export interface SeatedTaster {
  seatId: string;
  number: number;
  /** Null once it has been erased. */
  name: string | null;
  language: string | null;
  joinedAt: string;
  leftAt: string | null;
}

/** Every seat of a session that was ever taken, in order of number. */
export async function seatedTasters(db: Read, sessionId: string): Promise<SeatedTaster[]> {
  const rows = await db
    .selectFrom("seats")
    .leftJoin("tasters", "tasters.seat_id", "seats.id")
    .select(["seats.id as seatId", "seats.number", "seats.left_at as leftAt"])
    .select(["seats.joined_at as joinedAt", "tasters.alias as name", "tasters.language"])
    .where("seats.session_id", "=", sessionId)
    .where("seats.joined_at", "is not", null)
    .orderBy("seats.number")
    .execute();
  return rows.map(({ joinedAt, ...row }) => ({ ...row, joinedAt: joinedAt ?? "" }));
}
