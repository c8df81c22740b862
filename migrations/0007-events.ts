import { type Kysely, sql } from "kysely";

/** The append-only log: each entry carries the hash of the one before it, and none can be changed. */
export async function up(db: Kysely<unknown>): Promise<void> {
  await db.schema
    .createTable("events")
    .addColumn("session_id", "text", (column) => column.notNull().references("sessions.id"))
    .addColumn("sequence", "integer", (column) => column.notNull().check(sql`sequence >= 1`))
    .addColumn("at", "text", (column) => column.notNull())
    .addColumn("actor", "text", (column) => column.notNull())
    .addColumn("kind", "text", (column) => column.notNull())
    .addColumn("body_json", "text", (column) => column.notNull())
    .addColumn("previous_hash", "text", (column) => column.notNull())
    .addColumn("hash", "text", (column) => column.notNull())
    .addPrimaryKeyConstraint("event_once", ["session_id", "sequence"])
    .execute();
  await sql`
    CREATE TRIGGER event_not_changed BEFORE UPDATE ON events
    BEGIN SELECT RAISE(ABORT, 'the event log is append-only'); END
  `.execute(db);
  await sql`
    CREATE TRIGGER event_not_removed BEFORE DELETE ON events
    BEGIN SELECT RAISE(ABORT, 'the event log is append-only'); END
  `.execute(db);
}
