import { type Kysely, sql } from "kysely";

/**
 * What goes wrong in a room: pauses, sets served again, cups poured anew, codes mixed up on a tray,
 * seats that move to another phone, and paper ballots that wait for their second reading.
 */
export async function up(db: Kysely<unknown>): Promise<void> {
  await db.schema.alterTable("sessions").addColumn("paused_at", "text").execute();
  await db.schema
    .alterTable("presentations")
    .addColumn("repeats", "text", (column) => column.references("presentations.id"))
    .execute();
  await cupsPouredAnew(db);
  await mixUps(db);
  await seatMoves(db);
  await paperReadings(db);
}

/** The code that a cup was served under before; the cup itself carries the code that holds now. */
async function cupsPouredAnew(db: Kysely<unknown>): Promise<void> {
  await db.schema
    .createTable("replaced_codes")
    .addColumn("cup_id", "text", (column) => column.notNull().references("cups.id"))
    .addColumn("code", "text", (column) => column.notNull())
    .addColumn("replaced_by", "text", (column) => column.notNull())
    .addColumn("replaced_at", "text", (column) => column.notNull())
    .addPrimaryKeyConstraint("code_replaced_once", ["cup_id", "code"])
    .execute();
}

/** Both keys stay: the cups keep what was sealed, and the two codes here say what was corrected. */
async function mixUps(db: Kysely<unknown>): Promise<void> {
  await db.schema
    .createTable("mix_ups")
    .addColumn("presentation_id", "text", (column) =>
      column.primaryKey().references("presentations.id"),
    )
    .addColumn("code", "text", (column) => column.notNull())
    .addColumn("other_code", "text", (column) => column.notNull())
    .addColumn("resolution", "text", (column) =>
      column.notNull().check(sql`resolution IN ('corrected', 'voided')`),
    )
    .addColumn("recorded_at", "text", (column) => column.notNull())
    .addColumn("recorded_by", "text", (column) => column.notNull().references("leads.id"))
    .addColumn("second_lead_id", "text", (column) => column.references("leads.id"))
    .addColumn("witness", "text")
    .execute();
}

async function seatMoves(db: Kysely<unknown>): Promise<void> {
  await db.schema
    .createTable("seat_moves")
    .addColumn("code_hash", "text", (column) => column.primaryKey())
    .addColumn("seat_id", "text", (column) => column.notNull().references("seats.id"))
    .addColumn("expires_at", "text", (column) => column.notNull())
    .addColumn("used_at", "text")
    .execute();
}

async function paperReadings(db: Kysely<unknown>): Promise<void> {
  await db.schema
    .createTable("paper_readings")
    .addColumn("presentation_id", "text", (column) =>
      column.primaryKey().references("presentations.id"),
    )
    .addColumn("answers_json", "text", (column) => column.notNull())
    .addColumn("read_at", "text", (column) => column.notNull())
    .addColumn("read_by", "text", (column) => column.notNull().references("leads.id"))
    .execute();
}
