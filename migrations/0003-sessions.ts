import { type Kysely, sql } from "kysely";

/** Sessions, their one-way life, and the secrets that stay apart from everything a taster's page reads. */
export async function up(db: Kysely<unknown>): Promise<void> {
  await db.schema
    .createTable("sessions")
    .addColumn("id", "text", (column) => column.primaryKey())
    .addColumn("experiment_id", "text", (column) => column.notNull().references("experiments.id"))
    .addColumn("name", "text", (column) => column.notNull())
    .addColumn("held_on", "text")
    .addColumn("state", "text", (column) =>
      column.notNull().check(sql`state IN ('draft', 'sealed', 'open', 'closed', 'unblinded')`),
    )
    .addColumn("plan_json", "text", (column) =>
      column.check(sql`state = 'draft' OR plan_json IS NOT NULL`),
    )
    .addColumn("plan_hash", "text", (column) =>
      column.check(sql`state = 'draft' OR plan_hash IS NOT NULL`),
    )
    .addColumn("commitment", "text", (column) =>
      column.check(sql`state = 'draft' OR commitment IS NOT NULL`),
    )
    .addColumn("join_code", "text", (column) => column.unique())
    .addColumn("created_at", "text", (column) => column.notNull())
    .addColumn("sealed_at", "text")
    .addColumn("opened_at", "text")
    .addColumn("closed_at", "text")
    .addColumn("unblinded_at", "text")
    .execute();
  await db.schema
    .createIndex("sessions_of_experiment")
    .on("sessions")
    .column("experiment_id")
    .execute();
  await db.schema
    .createTable("session_secrets")
    .addColumn("session_id", "text", (column) => column.primaryKey().references("sessions.id"))
    .addColumn("seed", "text", (column) => column.notNull())
    .addColumn("nonce", "text", (column) => column.notNull())
    .addColumn("key_json", "text", (column) => column.notNull())
    .execute();
  await onlyForward(db);
  await sealedPlanStays(db);
}

async function onlyForward(db: Kysely<unknown>): Promise<void> {
  await sql`
    CREATE TRIGGER session_only_forward BEFORE UPDATE OF state ON sessions
    WHEN NOT (
      NEW.state = OLD.state
      OR (OLD.state = 'draft' AND NEW.state = 'sealed')
      OR (OLD.state = 'sealed' AND NEW.state = 'open')
      OR (OLD.state = 'open' AND NEW.state = 'closed')
      OR (OLD.state = 'closed' AND NEW.state = 'unblinded')
    )
    BEGIN SELECT RAISE(ABORT, 'a session only moves forward'); END
  `.execute(db);
}

async function sealedPlanStays(db: Kysely<unknown>): Promise<void> {
  await sql`
    CREATE TRIGGER sealed_plan_stays BEFORE UPDATE OF plan_json, plan_hash, commitment ON sessions
    WHEN OLD.state IN ('open', 'closed', 'unblinded')
    BEGIN SELECT RAISE(ABORT, 'the plan of a session that has opened is fixed'); END
  `.execute(db);
}
