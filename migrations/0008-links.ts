import { type Kysely, sql } from "kysely";

/** Links to read one thing of a session: the report, or a sheet for a second person. */
export async function up(db: Kysely<unknown>): Promise<void> {
  await db.schema
    .createTable("links")
    .addColumn("id", "text", (column) => column.primaryKey())
    .addColumn("session_id", "text", (column) => column.notNull().references("sessions.id"))
    .addColumn("shows", "text", (column) =>
      column.notNull().check(sql`shows IN ('report', 'pour-sheet', 'brew-sheet', 'key-sheet')`),
    )
    .addColumn("token_hash", "text", (column) => column.notNull().unique())
    .addColumn("note", "text", (column) => column.notNull())
    .addColumn("created_at", "text", (column) => column.notNull())
    .addColumn("expires_at", "text")
    .addColumn("revoked_at", "text")
    .addColumn("opened_at", "text")
    .execute();
  await db.schema.createIndex("links_of_session").on("links").column("session_id").execute();
}
