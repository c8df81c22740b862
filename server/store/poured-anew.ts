import type { Transaction } from "kysely";
import { spareFor } from "../../src/design/spares.ts";
import type { Store } from "./database.ts";
import type { Database } from "./schema.ts";

/*
 * Cups poured anew from their own pots, under spare codes. The pots are read here to find a spare;
 * nothing of them leaves this file but codes.
 */

type Write = Transaction<Database>;
type Read = Store | Write;

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
  const present = await db
    .selectFrom("cups")
    .select("code")
    .where("seat_id", "=", seatId)
    .execute();
  return [...present, ...replaced].map((cup) => cup.code);
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
    const used = [...taken, ...codes];
    // A code that one misread digit turns into another is better than no tray: of a tray from one
    // pot, such a lack would tell.
    const code =
      (await spareOfPot(db, cup, { others: codes, taken: used })) ??
      (await spareOfPot(db, cup, { others: [], taken: used }));
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
