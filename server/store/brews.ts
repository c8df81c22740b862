import type { Transaction } from "kysely";
import { type BrewRecord, brewRecordSchema } from "../../src/experiment/brew-log.ts";
import type { Store } from "./database.ts";
import type { Database } from "./schema.ts";

/** A pot in the order of brewing with its newest brew, if any. Says nothing about treatments. */
export interface PotOnLog {
  potId: string;
  coffeeId: string;
  /** From 1 within the coffee: which two pots were brewed together. */
  pair: number;
  letter: string;
  waterLabel: string;
  /** The brewer whom the plan gave this pot. */
  plannedBrewer: string;
  brew: BrewRecord | null;
  attempt: number;
  rejected: string | null;
}

/** A session's pots in the order of brewing. */
export async function brewLog(
  db: Store | Transaction<Database>,
  sessionId: string,
): Promise<PotOnLog[]> {
  const rows = await db
    .selectFrom("pots")
    .leftJoin("brews", (join) =>
      join.onRef("brews.pot_id", "=", "pots.id").on("brews.attempt", "=", ({ selectFrom, ref }) =>
        selectFrom("brews as newest")
          .select(({ fn }) => fn.max("newest.attempt").as("attempt"))
          .where("newest.pot_id", "=", ref("pots.id")),
      ),
    )
    .select([
      "pots.id as potId",
      "pots.coffee_id as coffeeId",
      "pots.pair",
      "pots.letter",
      "pots.water_label as waterLabel",
      "pots.brewer as plannedBrewer",
      "brews.record_json as record",
      "brews.attempt",
      "brews.rejected",
    ])
    .where("pots.session_id", "=", sessionId)
    .orderBy("pots.brew_order")
    .execute();
  return rows.map(({ record, attempt, ...pot }) => ({
    ...pot,
    attempt: attempt ?? 0,
    brew: record === null ? null : brewRecordSchema.parse(JSON.parse(record)),
  }));
}

/** Adds a brew as a new attempt; earlier ones stay for the record. */
export async function addBrew(
  trx: Transaction<Database>,
  brew: { id: string; potId: string; attempt: number; record: BrewRecord; at: string },
): Promise<void> {
  await trx
    .insertInto("brews")
    .values({
      id: brew.id,
      pot_id: brew.potId,
      attempt: brew.attempt,
      record_json: JSON.stringify(brew.record),
      rejected: null,
      logged_at: brew.at,
    })
    .execute();
}

/** Marks the newest attempt of each pot of a pair as rejected, for a listed reason. */
export async function rejectBrews(
  trx: Transaction<Database>,
  potIds: readonly string[],
  reason: string,
): Promise<void> {
  for (const potId of potIds) {
    await trx
      .updateTable("brews")
      .set({ rejected: reason })
      .where("pot_id", "=", potId)
      .where("attempt", "=", ({ selectFrom }) =>
        selectFrom("brews as newest")
          .select(({ fn }) => fn.max("newest.attempt").as("attempt"))
          .where("newest.pot_id", "=", potId),
      )
      .execute();
  }
}
