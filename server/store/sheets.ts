import type { Transaction } from "kysely";
import type { Store } from "./database.ts";
import type { Database } from "./schema.ts";

/** A cup as its tray sees it: no pot, no treatment. */
export interface TrayCup {
  seat: number;
  ordinal: number;
  position: number;
  code: string;
  /** The open reference of a duo-trio. */
  reference: boolean;
  /** Of the pouring round that its set belongs to. */
  coffeeId: string;
  pair: number;
}

/** A cup as its pot sees it: no seat, no order of serving. */
export interface PouredCup {
  coffeeId: string;
  pair: number;
  letter: string;
  code: string;
  spare: boolean;
}

/** A pot as its brewer sees it: treatment and place in the order, nobody's cups. */
export interface BrewerPot {
  coffeeId: string;
  pair: number;
  letter: string;
  treatment: "A" | "B";
  brewer: string;
  brewOrder: number;
  waterLabel: string;
}

/** A session's seats in order of number. */
export async function seatNumbers(
  db: Store,
  sessionId: string,
): Promise<{ id: string; number: number }[]> {
  return await db
    .selectFrom("seats")
    .select(["id", "number"])
    .where("session_id", "=", sessionId)
    .orderBy("number")
    .execute();
}

/** Every cup by seat, presentation and position, in serving order. */
export async function trayCups(db: Store, sessionId: string): Promise<TrayCup[]> {
  const rows = await db
    .selectFrom("cups")
    .innerJoin("presentations", "presentations.id", "cups.presentation_id")
    .innerJoin("presentation_keys as key", "key.presentation_id", "presentations.id")
    .innerJoin("seats", "seats.id", "cups.seat_id")
    .select(["seats.number as seat", "presentations.ordinal", "cups.position", "cups.code"])
    .select(["presentations.set_kind as set", "key.coffee_id as coffeeId", "key.pair"])
    .where("seats.session_id", "=", sessionId)
    .orderBy("seats.number")
    .orderBy("presentations.ordinal")
    .orderBy("cups.position")
    .execute();
  return rows.map(({ set, ...cup }) => ({
    ...cup,
    reference: set === "duo-trio" && cup.position === 1,
  }));
}

/** Every cup by pot, spare ones last, codes in order of number so that their place says nothing. */
export async function pouredCups(db: Store, sessionId: string): Promise<PouredCup[]> {
  const served = await db
    .selectFrom("cup_keys")
    .innerJoin("cups", "cups.id", "cup_keys.cup_id")
    .innerJoin("pots", "pots.id", "cup_keys.pot_id")
    .select(["pots.coffee_id as coffeeId", "pots.pair", "pots.letter", "cups.code"])
    .where("pots.session_id", "=", sessionId)
    .orderBy("pots.brew_order")
    .orderBy("cups.code")
    .execute();
  const spare = await db
    .selectFrom("spare_cups")
    .innerJoin("pots", "pots.id", "spare_cups.pot_id")
    .select(["pots.coffee_id as coffeeId", "pots.pair", "pots.letter", "spare_cups.code"])
    .where("pots.session_id", "=", sessionId)
    .where("spare_cups.used_at", "is", null)
    .orderBy("pots.brew_order")
    .orderBy("spare_cups.code")
    .execute();
  return [
    ...served.map((cup) => ({ ...cup, spare: false })),
    ...spare.map((cup) => ({ ...cup, spare: true })),
  ];
}

/** Every pot by its letter, in the order of brewing: what is poured, and nothing of what it holds. */
export async function potsToPour(
  db: Store | Transaction<Database>,
  sessionId: string,
): Promise<{ coffeeId: string; pair: number; letter: string }[]> {
  return await db
    .selectFrom("pots")
    .select(["coffee_id as coffeeId", "pair", "letter"])
    .where("session_id", "=", sessionId)
    .orderBy("brew_order")
    .execute();
}

/** Every pot with its treatment, in the order of brewing. Only for the brewer's and the key sheet. */
export async function brewerPots(db: Store, sessionId: string): Promise<BrewerPot[]> {
  return await db
    .selectFrom("pots")
    .innerJoin("pot_keys", "pot_keys.pot_id", "pots.id")
    .select([
      "pots.coffee_id as coffeeId",
      "pots.pair",
      "pots.letter",
      "pot_keys.treatment",
      "pots.brewer",
      "pots.brew_order as brewOrder",
      "pots.water_label as waterLabel",
    ])
    .where("pots.session_id", "=", sessionId)
    .orderBy("pots.brew_order")
    .execute();
}
