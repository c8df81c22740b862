import type { Kysely } from "kysely";

/** Experiments with the plan that is being written; the draft keeps what was typed, valid or not. */
export async function up(db: Kysely<unknown>): Promise<void> {
  await db.schema
    .createTable("experiments")
    .addColumn("id", "text", (column) => column.primaryKey())
    .addColumn("title", "text", (column) => column.notNull())
    .addColumn("draft_json", "text", (column) => column.notNull())
    .addColumn("copied_from", "text", (column) => column.references("experiments.id"))
    .addColumn("created_by", "text", (column) => column.notNull().references("leads.id"))
    .addColumn("created_at", "text", (column) => column.notNull())
    .addColumn("updated_at", "text", (column) => column.notNull())
    .execute();
}
