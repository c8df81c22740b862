import { type Kysely, sql } from "kysely";

/** Tasters (names and comments apart, so that they can be erased) and their ballots, one a presentation. */
export async function up(db: Kysely<unknown>): Promise<void> {
  await db.schema
    .createTable("tasters")
    .addColumn("seat_id", "text", (column) => column.primaryKey().references("seats.id"))
    .addColumn("alias", "text", (column) => column.notNull())
    .addColumn("language", "text", (column) => column.notNull())
    .addColumn("consented_at", "text", (column) => column.notNull())
    .addColumn("consent_hash", "text", (column) => column.notNull())
    .execute();
  await db.schema
    .createTable("ballots")
    .addColumn("id", "text", (column) => column.primaryKey())
    .addColumn("presentation_id", "text", (column) =>
      column.notNull().unique().references("presentations.id"),
    )
    .addColumn("idempotency_key", "text", (column) => column.notNull())
    .addColumn("answers_json", "text", (column) => column.notNull())
    .addColumn("received_at", "text", (column) => column.notNull())
    .addColumn("seconds_on_screen", "integer", (column) =>
      column.check(sql`seconds_on_screen IS NULL OR seconds_on_screen >= 0`),
    )
    .execute();
  await db.schema
    .createTable("comments")
    .addColumn("ballot_id", "text", (column) => column.primaryKey().references("ballots.id"))
    .addColumn("text", "text", (column) => column.notNull())
    .execute();
  await sql`
    CREATE TRIGGER ballot_stays BEFORE UPDATE ON ballots
    BEGIN SELECT RAISE(ABORT, 'a submitted ballot cannot be changed'); END
  `.execute(db);
}
