import { type Kysely, sql } from "kysely";

/**
 * The pace of a sitting: how long a taster rested before a set, as the phone counted it, and when the
 * answer was given by the server's clock. Both stay empty where nobody knows.
 */
export async function up(db: Kysely<unknown>): Promise<void> {
  await db.schema
    .alterTable("ballots")
    .addColumn("seconds_rested", "integer", (column) =>
      column.check(sql`seconds_rested IS NULL OR seconds_rested >= 0`),
    )
    .execute();
  await db.schema.alterTable("ballots").addColumn("answered_at", "text").execute();
}
