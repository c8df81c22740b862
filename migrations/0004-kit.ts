import { type Kysely, sql } from "kysely";

/**
 * The kit of a sealed session. What a taster's device may know (seats, presentations, cups) and the
 * key (pot_keys, presentation_keys, cup_keys) are different tables, so that blind queries cannot
 * touch a treatment.
 */
export async function up(db: Kysely<unknown>): Promise<void> {
  await pots(db);
  await seats(db);
  await cups(db);
}

async function pots(db: Kysely<unknown>): Promise<void> {
  await db.schema
    .createTable("pots")
    .addColumn("id", "text", (column) => column.primaryKey())
    .addColumn("session_id", "text", (column) => column.notNull().references("sessions.id"))
    .addColumn("coffee_id", "text", (column) => column.notNull())
    .addColumn("pair", "integer", (column) => column.notNull().check(sql`pair >= 1`))
    .addColumn("letter", "text", (column) =>
      column.notNull().check(sql`length(letter) = 1 AND letter NOT IN ('A', 'B', 'I', 'O', 'Q')`),
    )
    .addColumn("brewer", "text", (column) => column.notNull())
    .addColumn("brew_order", "integer", (column) => column.notNull())
    .addColumn("water_label", "text", (column) => column.notNull())
    .addUniqueConstraint("pot_letter_once_per_coffee", ["session_id", "coffee_id", "letter"])
    .execute();
  await db.schema
    .createTable("pot_keys")
    .addColumn("pot_id", "text", (column) => column.primaryKey().references("pots.id"))
    .addColumn("treatment", "text", (column) =>
      column.notNull().check(sql`treatment IN ('A', 'B')`),
    )
    .addColumn("control_pair", "integer", (column) =>
      column.notNull().check(sql`control_pair IN (0, 1)`),
    )
    .execute();
}

async function seats(db: Kysely<unknown>): Promise<void> {
  await db.schema
    .createTable("seats")
    .addColumn("id", "text", (column) => column.primaryKey())
    .addColumn("session_id", "text", (column) => column.notNull().references("sessions.id"))
    .addColumn("number", "integer", (column) => column.notNull().check(sql`number >= 1`))
    .addColumn("token_hash", "text", (column) => column.unique())
    .addColumn("joined_at", "text")
    .addColumn("left_at", "text")
    .addUniqueConstraint("seat_number_once", ["session_id", "number"])
    .execute();
  await db.schema
    .createTable("presentations")
    .addColumn("id", "text", (column) => column.primaryKey())
    .addColumn("seat_id", "text", (column) => column.notNull().references("seats.id"))
    .addColumn("ordinal", "integer", (column) => column.notNull().check(sql`ordinal >= 1`))
    .addColumn("set_kind", "text", (column) => column.notNull())
    .addColumn("void_reason", "text")
    .addUniqueConstraint("presentation_once", ["seat_id", "ordinal"])
    .execute();
  await db.schema
    .createTable("presentation_keys")
    .addColumn("presentation_id", "text", (column) =>
      column.primaryKey().references("presentations.id"),
    )
    .addColumn("coffee_id", "text", (column) => column.notNull())
    .addColumn("pair", "integer", (column) => column.notNull())
    .addColumn("replicate", "integer", (column) => column.notNull())
    .addColumn("control", "text", (column) =>
      column.check(sql`control IN ('same-pot', 'same-treatment')`),
    )
    .addColumn("odd_position", "integer")
    .execute();
}

async function cups(db: Kysely<unknown>): Promise<void> {
  await db.schema
    .createTable("cups")
    .addColumn("id", "text", (column) => column.primaryKey())
    .addColumn("seat_id", "text", (column) => column.notNull().references("seats.id"))
    .addColumn("presentation_id", "text", (column) =>
      column.notNull().references("presentations.id"),
    )
    .addColumn("position", "integer", (column) => column.notNull().check(sql`position >= 1`))
    .addColumn("code", "text", (column) =>
      column.notNull().check(sql`length(code) = 3 AND code >= '100' AND code <= '999'`),
    )
    .addUniqueConstraint("cup_position_once", ["presentation_id", "position"])
    .addUniqueConstraint("cup_code_once_per_taster", ["seat_id", "code"])
    .execute();
  await db.schema
    .createTable("cup_keys")
    .addColumn("cup_id", "text", (column) => column.primaryKey().references("cups.id"))
    .addColumn("pot_id", "text", (column) => column.notNull().references("pots.id"))
    .execute();
  await db.schema
    .createTable("spare_cups")
    .addColumn("id", "text", (column) => column.primaryKey())
    .addColumn("pot_id", "text", (column) => column.notNull().references("pots.id"))
    .addColumn("code", "text", (column) => column.notNull())
    .addColumn("used_at", "text")
    .addUniqueConstraint("spare_code_once_per_pot", ["pot_id", "code"])
    .execute();
}
