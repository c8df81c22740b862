import type { Transaction } from "kysely";
import type { Store } from "./database.ts";
import type { Database } from "./schema.ts";

type Write = Transaction<Database>;

/** The answers, as canonical JSON, that a paper ballot was read as and that wait for a second reading. */
export async function readingOf(
  db: Store | Write,
  presentationId: string,
): Promise<string | undefined> {
  const row = await db
    .selectFrom("paper_readings")
    .select("answers_json")
    .where("presentation_id", "=", presentationId)
    .executeTakeFirst();
  return row?.answers_json;
}

/** Keeps a reading until the next one; a reading before it that differed is gone. */
export async function keepReading(
  trx: Write,
  reading: { presentationId: string; answersJson: string; at: string; leadId: string },
): Promise<void> {
  await dropReading(trx, reading.presentationId);
  await trx
    .insertInto("paper_readings")
    .values({
      presentation_id: reading.presentationId,
      answers_json: reading.answersJson,
      read_at: reading.at,
      read_by: reading.leadId,
    })
    .execute();
}

export async function dropReading(trx: Write, presentationId: string): Promise<void> {
  await trx.deleteFrom("paper_readings").where("presentation_id", "=", presentationId).execute();
}
