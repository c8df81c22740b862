import { type Kysely, sql } from "kysely";

/**
 * Sessions whose answers an outside panel gave, with the evidence as it was read from their file; and
 * what the tasters of a session may see afterwards.
 */
export async function up(db: Kysely<unknown>): Promise<void> {
  await db.schema
    .alterTable("sessions")
    .addColumn("origin", "text", (column) =>
      column.notNull().defaultTo("run-here").check(sql`origin IN ('run-here', 'imported')`),
    )
    .execute();
  await db.schema
    .alterTable("sessions")
    .addColumn("tasters_see", "text", (column) =>
      column
        .notNull()
        .defaultTo("nothing")
        .check(sql`tasters_see IN ('nothing', 'own', 'own-and-headline')`),
    )
    .execute();
  await db.schema
    .createTable("imported_panels")
    .addColumn("session_id", "text", (column) => column.primaryKey().references("sessions.id"))
    .addColumn("evidence_json", "text", (column) => column.notNull())
    .addColumn("file_sha256", "text", (column) => column.notNull())
    .execute();
  await sql`
    CREATE TRIGGER imported_panel_stays BEFORE UPDATE ON imported_panels
    BEGIN SELECT RAISE(ABORT, 'imported answers cannot be changed'); END
  `.execute(db);
}
