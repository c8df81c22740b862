import { type Kysely, sql } from "kysely";

/**
 * An experiment that nobody wants any more and that nothing was sealed under: out of every list, while
 * waters made for it and logs of its draft sessions keep their place.
 */
export async function up(db: Kysely<unknown>): Promise<void> {
  await db.schema.alterTable("experiments").addColumn("discarded_at", "text").execute();
  await sql`
    CREATE TRIGGER sealed_experiment_stays BEFORE UPDATE OF discarded_at ON experiments
    WHEN NEW.discarded_at IS NOT NULL AND EXISTS (
      SELECT 1 FROM sessions WHERE experiment_id = NEW.id AND state <> 'draft'
    )
    BEGIN SELECT RAISE(ABORT, 'an experiment with a sealed session stays'); END
  `.execute(db);
}
