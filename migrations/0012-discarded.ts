import { type Kysely, sql } from "kysely";

/**
 * A draft session that nobody wants any more: out of every list, while its log stays. And a key that
 * an amendment may redraw until the session opens, never after.
 */
export async function up(db: Kysely<unknown>): Promise<void> {
  await db.schema
    .alterTable("sessions")
    .addColumn("discarded_at", "text", (column) =>
      column.check(sql`discarded_at IS NULL OR state = 'draft'`),
    )
    .execute();
  await sql`
    CREATE TRIGGER opened_key_stays BEFORE DELETE ON session_secrets
    WHEN (SELECT state FROM sessions WHERE id = OLD.session_id) IN ('open', 'closed', 'unblinded')
    BEGIN SELECT RAISE(ABORT, 'the key of a session that has opened is fixed'); END
  `.execute(db);
}
