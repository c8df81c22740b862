import { type Kysely, sql } from "kysely";

/** Who may run sessions, how they prove it, and the installation's own secret. */
export async function up(db: Kysely<unknown>): Promise<void> {
  await db.schema
    .createTable("installation")
    .addColumn("id", "integer", (column) => column.primaryKey().check(sql`id = 1`))
    .addColumn("cookie_secret", "text", (column) => column.notNull())
    .addColumn("created_at", "text", (column) => column.notNull())
    .execute();
  await db.schema
    .createTable("leads")
    .addColumn("id", "text", (column) => column.primaryKey())
    .addColumn("name", "text", (column) => column.notNull().unique())
    .addColumn("passphrase_hash", "text", (column) => column.notNull())
    .addColumn("created_at", "text", (column) => column.notNull())
    .execute();
  await db.schema
    .createTable("lead_invitations")
    .addColumn("token_hash", "text", (column) => column.primaryKey())
    .addColumn("purpose", "text", (column) =>
      column.notNull().check(sql`purpose IN ('set-up', 'invite', 'reset', 'sign-in')`),
    )
    .addColumn("lead_id", "text", (column) => column.references("leads.id"))
    .addColumn("created_at", "text", (column) => column.notNull())
    .addColumn("expires_at", "text", (column) => column.notNull())
    .addColumn("used_at", "text")
    .execute();
  await db.schema
    .createTable("lead_visits")
    .addColumn("token_hash", "text", (column) => column.primaryKey())
    .addColumn("lead_id", "text", (column) => column.notNull().references("leads.id"))
    .addColumn("created_at", "text", (column) => column.notNull())
    .addColumn("expires_at", "text", (column) => column.notNull())
    .execute();
}
