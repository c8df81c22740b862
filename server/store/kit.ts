import type { Insertable, Transaction } from "kysely";
import type { Cup, Kit, Pot, Presentation } from "../../src/design/kit.ts";
import type { Database } from "./schema.ts";

type Write = Transaction<Database>;
type NewId = () => string;

/** Most rows of one insert: the widest row here binds eight values, and SQLite takes 32 766. */
const ROWS_AT_ONCE = 1000;

/**
 * Stores a kit. What a taster may know and the key go to different tables; every id is random, so
 * that none follows the order in which things were drawn.
 */
export async function storeKit(
  trx: Write,
  sessionId: string,
  kit: Kit,
  newId: NewId,
): Promise<void> {
  const pots = new Map(kit.pots.map((pot) => [potName(pot.coffeeId, pot.letter), newId()]));
  const potOf = (coffeeId: string, letter: string) => known(pots, potName(coffeeId, letter));
  await storePots(trx, sessionId, kit.pots, potOf);
  await storeSeats(trx, sessionId, kit, { newId, potOf });
  const spares = kit.spares.map(({ coffeeId, potLetter, code }) => ({
    id: newId(),
    pot_id: potOf(coffeeId, potLetter),
    code,
    used_at: null,
  }));
  await inBatches(spares, (rows) => trx.insertInto("spare_cups").values(rows).execute());
}

type PotOf = (coffeeId: string, letter: string) => string;

async function storePots(
  trx: Write,
  sessionId: string,
  pots: readonly Pot[],
  potOf: PotOf,
): Promise<void> {
  const rows = pots.map((pot) => ({
    id: potOf(pot.coffeeId, pot.letter),
    session_id: sessionId,
    coffee_id: pot.coffeeId,
    pair: pot.pair,
    letter: pot.letter,
    brewer: pot.brewerId,
    brew_order: pot.brewOrder,
    water_label: pot.waterLabel,
  }));
  const keys = pots.map(
    (pot): Insertable<Database["pot_keys"]> => ({
      pot_id: potOf(pot.coffeeId, pot.letter),
      treatment: pot.treatment,
      control_pair: pot.controlPair === true ? 1 : 0,
    }),
  );
  await trx.insertInto("pots").values(rows).execute();
  await trx.insertInto("pot_keys").values(keys).execute();
}

async function storeSeats(
  trx: Write,
  sessionId: string,
  kit: Kit,
  names: { newId: NewId; potOf: PotOf },
): Promise<void> {
  const seats = kit.seats.map(({ seat, presentations }) => ({
    id: names.newId(),
    number: seat,
    presentations,
  }));
  const served = seats.flatMap(({ id, presentations }) =>
    presentations.map((presentation) => ({ id: names.newId(), seatId: id, presentation })),
  );
  const cups = served.flatMap(({ id, seatId, presentation }) =>
    presentation.cups.map((cup) => ({
      row: cupRow(names.newId(), { seatId, presentationId: id }, cup),
      potId: names.potOf(presentation.coffeeId, cup.potLetter),
    })),
  );
  const seatRows = seats.map(({ id, number }) => seatRow(id, sessionId, number));
  await inBatches(seatRows, (rows) => trx.insertInto("seats").values(rows).execute());
  const trays = served.map(({ id, seatId, presentation }) => trayRow(id, seatId, presentation));
  await inBatches(trays, (rows) => trx.insertInto("presentations").values(rows).execute());
  const trayKeys = served.map(({ id, presentation }) => trayKeyRow(id, presentation));
  await inBatches(trayKeys, (rows) => trx.insertInto("presentation_keys").values(rows).execute());
  const cupRows = cups.map(({ row }) => row);
  await inBatches(cupRows, (rows) => trx.insertInto("cups").values(rows).execute());
  const cupKeys = cups.map(({ row, potId }) => ({ cup_id: row.id, pot_id: potId }));
  await inBatches(cupKeys, (rows) => trx.insertInto("cup_keys").values(rows).execute());
}

function seatRow(id: string, sessionId: string, number: number): Insertable<Database["seats"]> {
  return { id, session_id: sessionId, number, token_hash: null, joined_at: null, left_at: null };
}

function trayRow(
  id: string,
  seatId: string,
  { ordinal, setKind }: Presentation,
): Insertable<Database["presentations"]> {
  return { id, seat_id: seatId, ordinal, set_kind: setKind, void_reason: null };
}

function trayKeyRow(
  id: string,
  presentation: Presentation,
): Insertable<Database["presentation_keys"]> {
  return {
    presentation_id: id,
    coffee_id: presentation.coffeeId,
    pair: presentation.pair,
    replicate: presentation.replicate,
    control: presentation.control ?? null,
    odd_position: presentation.oddPosition ?? null,
    fellow_position: presentation.fellowPosition ?? null,
  };
}

function cupRow(id: string, of: { seatId: string; presentationId: string }, cup: Cup) {
  return {
    id,
    seat_id: of.seatId,
    presentation_id: of.presentationId,
    position: cup.position,
    code: cup.code,
  };
}

async function inBatches<Row>(
  rows: readonly Row[],
  insert: (rows: Row[]) => Promise<unknown>,
): Promise<void> {
  for (let from = 0; from < rows.length; from += ROWS_AT_ONCE) {
    await insert(rows.slice(from, from + ROWS_AT_ONCE));
  }
}

function potName(coffeeId: string, letter: string): string {
  return `${coffeeId}/${letter}`;
}

function known(ids: ReadonlyMap<string, string>, name: string): string {
  const id = ids.get(name);
  if (id === undefined) throw new Error(`The kit has no pot ${name}`);
  return id;
}
