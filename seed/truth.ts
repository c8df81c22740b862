import type { Store } from "../server/store/database.ts";
import type { SetKind } from "../src/experiment/endpoint.ts";

/** A set with the truth about its cups, which only a simulation may read before unblinding. */
export interface TrueSet {
  seat: number;
  ordinal: number;
  set: SetKind;
  coffeeId: string;
  pair: number;
  control: "same-pot" | "same-treatment" | null;
  oddCode: string | null;
  cups: { code: string; treatment: "A" | "B"; potLetter: string }[];
}

/** Every set of a sealed session by seat and order, with what its cups hold. */
export async function trueSets(db: Store, sessionId: string): Promise<TrueSet[]> {
  const rows = await db
    .selectFrom("cups")
    .innerJoin("cup_keys", "cup_keys.cup_id", "cups.id")
    .innerJoin("pots", "pots.id", "cup_keys.pot_id")
    .innerJoin("pot_keys", "pot_keys.pot_id", "pots.id")
    .innerJoin("presentations", "presentations.id", "cups.presentation_id")
    .innerJoin("presentation_keys", "presentation_keys.presentation_id", "presentations.id")
    .innerJoin("seats", "seats.id", "cups.seat_id")
    .select([
      "seats.number as seat",
      "presentations.ordinal",
      "presentations.set_kind as set",
      "presentation_keys.coffee_id as coffeeId",
      "presentation_keys.pair",
      "presentation_keys.control",
      "presentation_keys.odd_position as oddPosition",
      "cups.position",
      "cups.code",
      "pot_keys.treatment",
      "pots.letter as potLetter",
    ])
    .where("pots.session_id", "=", sessionId)
    .orderBy("seats.number")
    .orderBy("presentations.ordinal")
    .orderBy("cups.position")
    .execute();
  const sets = new Map<string, TrueSet>();
  for (const { oddPosition, position, code, treatment, potLetter, ...set } of rows) {
    const name = `${set.seat}/${set.ordinal}`;
    const known = sets.get(name) ?? { ...set, oddCode: null, cups: [] };
    sets.set(name, known);
    known.cups.push({ code, treatment, potLetter });
    if (position === oddPosition) known.oddCode = code;
  }
  return [...sets.values()];
}
