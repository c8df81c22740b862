import { type Kysely, sql } from "kysely";

/** Saved matches (never changed, so that sheets and batches stay true), batches made, and their readings. */
export async function up(db: Kysely<unknown>): Promise<void> {
  await db.schema
    .createTable("water_recipes")
    .addColumn("id", "text", (column) => column.primaryKey())
    .addColumn("name", "text", (column) => column.notNull().unique())
    .addColumn("experiment_id", "text", (column) => column.references("experiments.id"))
    .addColumn("draft_json", "text", (column) => column.notNull())
    .addColumn("created_by", "text", (column) => column.notNull().references("leads.id"))
    .addColumn("created_at", "text", (column) => column.notNull())
    .execute();
  await db.schema
    .createTable("water_batches")
    .addColumn("id", "text", (column) => column.primaryKey())
    .addColumn("label", "text", (column) => column.notNull())
    .addColumn("recipe_id", "text", (column) => column.references("water_recipes.id"))
    .addColumn("content_json", "text", (column) => column.notNull())
    .addColumn("made_at", "text", (column) => column.notNull())
    .addColumn("made_by", "text", (column) => column.notNull())
    .addColumn("note", "text", (column) => column.notNull())
    .addColumn("recorded_by", "text", (column) => column.notNull().references("leads.id"))
    .addColumn("recorded_at", "text", (column) => column.notNull())
    .execute();
  await db.schema
    .createTable("water_readings")
    .addColumn("id", "text", (column) => column.primaryKey())
    .addColumn("batch_id", "text", (column) => column.notNull().references("water_batches.id"))
    .addColumn("reading_json", "text", (column) => column.notNull())
    .addColumn("read_at", "text", (column) => column.notNull())
    .addColumn("read_by", "text", (column) => column.notNull())
    .addColumn("recorded_at", "text", (column) => column.notNull())
    .execute();
  await db.schema
    .createIndex("readings_of_batch")
    .on("water_readings")
    .column("batch_id")
    .execute();
  await keepAsRecorded(db);
}

/** What was weighed and read is a record: a mistake is mended by a new entry. */
async function keepAsRecorded(db: Kysely<unknown>): Promise<void> {
  for (const table of ["water_batches", "water_readings"]) {
    for (const act of ["UPDATE", "DELETE"]) {
      await sql`
        CREATE TRIGGER ${sql.raw(`${table}_no_${act.toLowerCase()}`)}
        BEFORE ${sql.raw(act)} ON ${sql.table(table)}
        BEGIN SELECT RAISE(ABORT, 'records of waters are never changed'); END
      `.execute(db);
    }
  }
}
