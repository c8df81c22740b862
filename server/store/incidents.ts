import type { Selectable, Transaction } from "kysely";
import { spareFor } from "../../src/design/spares.ts";
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

interface PouredCup {
  id: string;
  position: number;
  code: string;
  potId: string;
  coffeeId: string;
  potLetter: string;
}

async function pouredCups(db: Read, presentationId: string): Promise<PouredCup[]> {
  return await db
    .selectFrom("cups")
    .innerJoin("cup_keys", "cup_keys.cup_id", "cups.id")
    .innerJoin("pots", "pots.id", "cup_keys.pot_id")
    .select(["cups.id", "cups.position", "cups.code", "pots.id as potId"])
    .select(["pots.coffee_id as coffeeId", "pots.letter as potLetter"])
    .where("cups.presentation_id", "=", presentationId)
    .orderBy("cups.position")
    .execute();
}

/** Codes that a seat has had on any tray, those of cups poured anew among them. */
async function codesOfSeat(db: Read, seatId: string): Promise<string[]> {
  const replaced = await db
    .selectFrom("replaced_codes")
    .innerJoin("cups", "cups.id", "replaced_codes.cup_id")
    .select("replaced_codes.code")
    .where("cups.seat_id", "=", seatId)
    .execute();
  return [...(await cupsOfSeat(db, seatId)), ...replaced].map((cup) => cup.code);
}

/** A spare code of a cup's own pot that suits the tray; undefined when none is left. */
async function spareOfPot(
  db: Read,
  cup: PouredCup,
  tray: { others: readonly string[]; taken: readonly string[] },
): Promise<string | undefined> {
  const spares = await db
    .selectFrom("spare_cups")
    .select("code")
    .where("pot_id", "=", cup.potId)
    .where("used_at", "is", null)
    .orderBy("code")
    .execute();
  const { coffeeId, potLetter } = cup;
  const offered = spares.map(({ code }) => ({ coffeeId, potLetter, code, pair: 0 }));
  return spareFor(cup, offered, tray.others, new Set(tray.taken));
}

/** The code under which a cup would be poured anew; undefined when its pot has no spare left. */
export async function replacementFor(
  db: Read,
  where: { seatId: string; presentationId: string; code: string },
): Promise<string | undefined> {
  const cups = await pouredCups(db, where.presentationId);
  const cup = cups.find(({ code }) => code === where.code);
  if (cup === undefined) return undefined;
  const others = cups.filter((other) => other !== cup).map(({ code }) => code);
  return await spareOfPot(db, cup, { others, taken: await codesOfSeat(db, where.seatId) });
}

/** Gives a cup its new code and keeps the old one beside it. */
export async function replaceCode(
  trx: Write,
  cup: { seatId: string; presentationId: string; code: string; newCode: string; at: string },
): Promise<void> {
  const { presentationId, code, newCode, at } = cup;
  const poured = (await pouredCups(trx, presentationId)).find((one) => one.code === code);
  if (poured === undefined) throw new Error("The cup to replace is not on its tray");
  await trx.updateTable("cups").set({ code: newCode }).where("id", "=", poured.id).execute();
  await trx
    .insertInto("replaced_codes")
    .values({ cup_id: poured.id, code, replaced_by: newCode, replaced_at: at })
    .execute();
  await useSpare(trx, poured.potId, newCode, at);
}

async function useSpare(trx: Write, potId: string, code: string, at: string): Promise<void> {
  await trx
    .updateTable("spare_cups")
    .set({ used_at: at })
    .where("pot_id", "=", potId)
    .where("code", "=", code)
    .execute();
}

/** Codes for a whole tray once more, cup by cup in the same places; undefined when spares run out. */
export async function codesAgain(
  db: Read,
  where: { seatId: string; presentationId: string },
): Promise<{ codes: string[]; cups: PouredCup[] } | undefined> {
  const cups = await pouredCups(db, where.presentationId);
  const taken = await codesOfSeat(db, where.seatId);
  const codes: string[] = [];
  for (const cup of cups) {
    const code = await spareOfPot(db, cup, { others: codes, taken: [...taken, ...codes] });
    if (code === undefined) return undefined;
    codes.push(code);
  }
  return { codes, cups };
}

/** Serves a voided presentation again at the end of its seat's list. */
export async function serveAgain(
  trx: Write,
  again: {
    seatId: string;
    presentationId: string;
    codes: readonly string[];
    cups: readonly PouredCup[];
    at: string;
    newId: () => string;
  },
): Promise<number> {
  const id = again.newId();
  const ordinal = await addPresentation(trx, { ...again, id });
  for (const [index, cup] of again.cups.entries()) {
    const cupId = again.newId();
    const code = again.codes[index] ?? "";
    await trx
      .insertInto("cups")
      .values({
        id: cupId,
        seat_id: again.seatId,
        presentation_id: id,
        position: cup.position,
        code,
      })
      .execute();
    await trx.insertInto("cup_keys").values({ cup_id: cupId, pot_id: cup.potId }).execute();
    await useSpare(trx, cup.potId, code, again.at);
  }
  return ordinal;
}

async function addPresentation(
  trx: Write,
  again: { id: string; seatId: string; presentationId: string },
): Promise<number> {
  const voided = await trx
    .selectFrom("presentations")
    .select("set_kind")
    .where("id", "=", again.presentationId)
    .executeTakeFirstOrThrow();
  const last = await trx
    .selectFrom("presentations")
    .select(({ fn }) => fn.max<number>("ordinal").as("ordinal"))
    .where("seat_id", "=", again.seatId)
    .executeTakeFirstOrThrow();
  const ordinal = last.ordinal + 1;
  await trx
    .insertInto("presentations")
    .values({
      id: again.id,
      seat_id: again.seatId,
      ordinal,
      set_kind: voided.set_kind,
      void_reason: null,
      repeats: again.presentationId,
    })
    .execute();
  const key = await trx
    .selectFrom("presentation_keys")
    .selectAll()
    .where("presentation_id", "=", again.presentationId)
    .executeTakeFirstOrThrow();
  await trx
    .insertInto("presentation_keys")
    .values({ ...key, presentation_id: again.id })
    .execute();
  return ordinal;
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
