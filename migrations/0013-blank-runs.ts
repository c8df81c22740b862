import { type Kysely, sql } from "kysely";

/** Blank runs that show whether brewers agree before treatments are spread over them. */
export async function up(db: Kysely<unknown>): Promise<void> {
  await db.schema
    .createTable("blank_runs")
    .addColumn("id", "text", (column) => column.primaryKey())
    .addColumn("session_id", "text", (column) => column.notNull().references("sessions.id"))
    .addColumn("brewer", "text", (column) => column.notNull())
    .addColumn("brew_seconds", "real", (column) => column.notNull().check(sql`brew_seconds > 0`))
    .addColumn("beverage_grams", "real", (column) =>
      column.notNull().check(sql`beverage_grams > 0`),
    )
    .addColumn("logged_at", "text", (column) => column.notNull())
    .execute();
  await db.schema
    .createIndex("blank_runs_of_session")
    .on("blank_runs")
    .column("session_id")
    .execute();
}
