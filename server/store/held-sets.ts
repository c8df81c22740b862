import { groupBy } from "../../src/report/observations.ts";
import type { HeldSet } from "../../src/report/verify-sets.ts";
import type { Store } from "./database.ts";

/** Every set of a session with its cups and its right answer, as the data file holds them. */
export async function heldSets(db: Store, sessionId: string): Promise<HeldSet[]> {
  const rows = await db
    .selectFrom("presentations")
    .innerJoin("presentation_keys", "presentation_keys.presentation_id", "presentations.id")
    .innerJoin("seats", "seats.id", "presentations.seat_id")
    .select(["presentations.id", "seats.number as seat", "presentations.ordinal"])
    .select(["presentation_keys.coffee_id as coffeeId", "presentation_keys.pair"])
    .select(["presentation_keys.replicate", "presentation_keys.control"])
    .select(["presentations.set_kind as set", "presentation_keys.odd_position as oddPosition"])
    .select("presentation_keys.fellow_position as fellowPosition")
    .where("seats.session_id", "=", sessionId)
    .execute();
  const cups = await db
    .selectFrom("cups")
    .innerJoin("cup_keys", "cup_keys.cup_id", "cups.id")
    .innerJoin("pots", "pots.id", "cup_keys.pot_id")
    .select(["cups.presentation_id as presentationId", "cups.position", "cups.code"])
    .select(["pots.coffee_id as coffeeId", "pots.letter as potLetter"])
    .where("pots.session_id", "=", sessionId)
    .execute();
  const cupsOf = groupBy(cups, ({ presentationId }) => presentationId);
  return rows.map(({ id, ...set }) => ({ ...set, cups: cupsOf.get(id) ?? [] }));
}
