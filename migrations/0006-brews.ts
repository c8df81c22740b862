import { type Kysely, sql } from "kysely";

/** The brew log: one record a pot and attempt; a pair that was brewed again keeps its first attempt. */
export async function up(db: Kysely<unknown>): Promise<void> {
  await db.schema
    .createTable("brews")
    .addColumn("id", "text", (column) => column.primaryKey())
    .addColumn("pot_id", "text", (column) => column.notNull().references("pots.id"))
    .addColumn("attempt", "integer", (column) => column.notNull().check(sql`attempt >= 1`))
    .addColumn("record_json", "text", (column) => column.notNull())
    .addColumn("rejected", "text")
    .addColumn("logged_at", "text", (column) => column.notNull())
    .addUniqueConstraint("brew_once_per_attempt", ["pot_id", "attempt"])
    .execute();
}
