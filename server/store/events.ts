import type { Transaction } from "kysely";
import {
  CHAIN_START,
  type ChainHead,
  appendEvent as chained,
  type SessionAct,
  type SessionEvent,
  sessionEventSchema,
} from "../../src/experiment/event.ts";
import type { Store } from "./database.ts";
import type { Database } from "./schema.ts";

type Write = Transaction<Database>;
type Read = Store | Write;

/**
 * Chains an act to a session's log. Call it in the transaction that does the act. `actor` is
 * `lead:<id>`, `seat:<id>`, `link:<id>` or `system`; the body holds no personal data.
 */
export async function appendEvent(trx: Write, sessionId: string, act: SessionAct): Promise<void> {
  const event = chained(await headOf(trx, sessionId), act);
  await trx
    .insertInto("events")
    .values({
      session_id: sessionId,
      sequence: event.sequence,
      at: event.at,
      actor: event.actor,
      kind: event.kind,
      body_json: JSON.stringify(event.body),
      previous_hash: event.previousHash,
      hash: event.hash,
    })
    .execute();
}

/** A session's whole log, in order. */
export async function eventsOf(db: Read, sessionId: string): Promise<SessionEvent[]> {
  const rows = await db
    .selectFrom("events")
    .selectAll()
    .where("session_id", "=", sessionId)
    .orderBy("sequence")
    .execute();
  return rows.map((row) =>
    sessionEventSchema.parse({
      sequence: row.sequence,
      at: row.at,
      actor: row.actor,
      kind: row.kind,
      body: JSON.parse(row.body_json),
      previousHash: row.previous_hash,
      hash: row.hash,
    }),
  );
}

/** Hash of the last event of a session: it changes with every act. */
export async function chainHead(db: Read, sessionId: string): Promise<string> {
  return (await headOf(db, sessionId)).hash;
}

/** The same of many sessions at once, by session. */
export async function chainHeads(db: Read, sessionIds: string[]): Promise<Map<string, string>> {
  const rows = await db
    .selectFrom("events")
    .innerJoin(
      (from) =>
        from
          .selectFrom("events")
          .select(({ fn }) => ["session_id", fn.max("sequence").as("sequence")])
          .where("session_id", "in", sessionIds)
          .groupBy("session_id")
          .as("newest"),
      (join) =>
        join
          .onRef("newest.session_id", "=", "events.session_id")
          .onRef("newest.sequence", "=", "events.sequence"),
    )
    .select(["events.session_id as sessionId", "events.hash"])
    .execute();
  return new Map(rows.map(({ sessionId, hash }) => [sessionId, hash]));
}

async function headOf(trx: Read, sessionId: string): Promise<ChainHead> {
  const row = await trx
    .selectFrom("events")
    .select(["sequence", "hash"])
    .where("session_id", "=", sessionId)
    .orderBy("sequence", "desc")
    .limit(1)
    .executeTakeFirst();
  return row ?? CHAIN_START;
}
