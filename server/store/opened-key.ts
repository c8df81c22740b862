import type { Transaction } from "kysely";
import type { Store } from "./database.ts";
import type { Database } from "./schema.ts";

type Read = Store | Transaction<Database>;

/** A tray as the opened key shows it: its codes in serving order, each with its pot. */
export interface OpenedTray {
  seat: number;
  ordinal: number;
  coffeeId: string;
  cups: { code: string; letter: string; treatment: "A" | "B" }[];
}

/** Every tray of a session. Only for opening the key: after unblinding, or early with a reason. */
export async function openedTrays(db: Read, sessionId: string): Promise<OpenedTray[]> {
  const rows = await db
    .selectFrom("cups")
    .innerJoin("presentations", "presentations.id", "cups.presentation_id")
    .innerJoin("seats", "seats.id", "cups.seat_id")
    .innerJoin("cup_keys", "cup_keys.cup_id", "cups.id")
    .innerJoin("pots", "pots.id", "cup_keys.pot_id")
    .innerJoin("pot_keys", "pot_keys.pot_id", "pots.id")
    .select(["seats.number as seat", "presentations.ordinal", "pots.coffee_id as coffeeId"])
    .select(["cups.code", "pots.letter", "pot_keys.treatment"])
    .where("seats.session_id", "=", sessionId)
    .orderBy("seats.number")
    .orderBy("presentations.ordinal")
    .orderBy("cups.position")
    .execute();
  const trays = new Map<string, OpenedTray>();
  for (const { seat, ordinal, coffeeId, ...cup } of rows) {
    const name = `${seat}/${ordinal}`;
    const tray = trays.get(name) ?? { seat, ordinal, coffeeId, cups: [] };
    tray.cups.push(cup);
    trays.set(name, tray);
  }
  return [...trays.values()];
}
