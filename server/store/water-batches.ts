import type { Transaction } from "kysely";
import { type BatchReading, batchReadingSchema } from "../../src/water/batch-reading.ts";
import { type WaterBatch, waterBatchSchema } from "../../src/water/water-batch.ts";
import type { Store } from "./database.ts";
import type { Database } from "./schema.ts";

type Write = Transaction<Database>;
type Read = Store | Write;

/** A batch of water as recorded, with its readings in the order in which they were recorded. */
export interface RecordedBatch {
  id: string;
  label: string;
  recipeId: string | null;
  recipeName: string | null;
  content: WaterBatch;
  madeAt: string;
  madeBy: string;
  note: string;
  readings: RecordedReading[];
}

export interface RecordedReading {
  reading: BatchReading;
  readAt: string;
  readBy: string;
}

export interface NewBatch extends Omit<RecordedBatch, "readings" | "recipeName"> {
  recordedBy: string;
  at: string;
}

export async function addBatch(trx: Write, batch: NewBatch): Promise<void> {
  await trx
    .insertInto("water_batches")
    .values({
      id: batch.id,
      label: batch.label,
      recipe_id: batch.recipeId,
      content_json: JSON.stringify(batch.content),
      made_at: batch.madeAt,
      made_by: batch.madeBy,
      note: batch.note,
      recorded_by: batch.recordedBy,
      recorded_at: batch.at,
    })
    .execute();
}

export async function addReading(
  trx: Write,
  reading: RecordedReading & { id: string; batchId: string; at: string },
): Promise<void> {
  await trx
    .insertInto("water_readings")
    .values({
      id: reading.id,
      batch_id: reading.batchId,
      reading_json: JSON.stringify(reading.reading),
      read_at: reading.readAt,
      read_by: reading.readBy,
      recorded_at: reading.at,
    })
    .execute();
}

/** Every batch, the one made last first. */
export async function listBatches(db: Read): Promise<RecordedBatch[]> {
  const rows = await batches(db)
    .orderBy("water_batches.made_at", "desc")
    .orderBy("water_batches.recorded_at", "desc")
    .execute();
  const readings = await readingRows(db).execute();
  return rows.map((row) => asBatch(row, readings));
}

export async function batchById(db: Read, id: string): Promise<RecordedBatch | undefined> {
  const row = await batches(db).where("water_batches.id", "=", id).executeTakeFirst();
  if (row === undefined) return undefined;
  return asBatch(row, await readingRows(db).where("batch_id", "=", id).execute());
}

function batches(db: Read) {
  return db
    .selectFrom("water_batches")
    .leftJoin("water_recipes", "water_recipes.id", "water_batches.recipe_id")
    .select([
      "water_batches.id",
      "water_batches.label",
      "water_batches.recipe_id as recipeId",
      "water_recipes.name as recipeName",
      "water_batches.content_json as contentJson",
      "water_batches.made_at as madeAt",
      "water_batches.made_by as madeBy",
      "water_batches.note",
    ]);
}

function readingRows(db: Read) {
  return db.selectFrom("water_readings").selectAll().orderBy("recorded_at").orderBy("id");
}

function asBatch(
  { contentJson, ...row }: Omit<RecordedBatch, "content" | "readings"> & { contentJson: string },
  readings: readonly Database["water_readings"][],
): RecordedBatch {
  return {
    ...row,
    content: waterBatchSchema.parse(JSON.parse(contentJson)),
    readings: readings
      .filter((reading) => reading.batch_id === row.id)
      .map((reading) => ({
        reading: batchReadingSchema.parse(JSON.parse(reading.reading_json)),
        readAt: reading.read_at,
        readBy: reading.read_by,
      })),
  };
}
