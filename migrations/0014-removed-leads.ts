import type { Kysely } from "kysely";

/**
 * A lead who no longer leads here: the row stays, since experiments, waters and every session's log
 * name it.
 */
export async function up(db: Kysely<unknown>): Promise<void> {
  await db.schema.alterTable("leads").addColumn("removed_at", "text").execute();
  await db.schema
    .alterTable("leads")
    .addColumn("removed_by", "text", (column) => column.references("leads.id"))
    .execute();
}
