import type { Transaction } from "kysely";
import { z } from "zod";
import type { Store } from "./database.ts";
import type { Database } from "./schema.ts";

type Write = Transaction<Database>;
type Read = Store | Write;

/** A plan form as it was typed, valid or not: field name → text. */
export const draftSchema = z.record(z.string(), z.string());
export type Draft = z.infer<typeof draftSchema>;

/** An experiment with the plan that is being written. */
export interface Experiment {
  id: string;
  title: string;
  draft: Draft;
  createdBy: string;
  updatedAt: string;
}

export async function addExperiment(
  trx: Write,
  experiment: {
    id: string;
    title: string;
    draft: Draft;
    copiedFrom: string | null;
    createdBy: string;
    at: string;
  },
): Promise<void> {
  await trx
    .insertInto("experiments")
    .values({
      id: experiment.id,
      title: experiment.title,
      draft_json: JSON.stringify(experiment.draft),
      copied_from: experiment.copiedFrom,
      created_by: experiment.createdBy,
      created_at: experiment.at,
      updated_at: experiment.at,
    })
    .execute();
}

/** Saves a draft over the version that it was written from; false when another has been saved since. */
export async function saveDraft(
  trx: Write,
  experiment: { id: string; title: string; draft: Draft; version: string; at: string },
): Promise<boolean> {
  const result = await trx
    .updateTable("experiments")
    .set({
      title: experiment.title,
      draft_json: JSON.stringify(experiment.draft),
      updated_at: experiment.at,
    })
    .where("id", "=", experiment.id)
    .where("updated_at", "=", experiment.version)
    .executeTakeFirst();
  return result.numUpdatedRows > 0n;
}

export async function experimentById(db: Read, id: string): Promise<Experiment | undefined> {
  const row = await db
    .selectFrom("experiments")
    .selectAll()
    .where("id", "=", id)
    .where("discarded_at", "is", null)
    .executeTakeFirst();
  return (
    row && {
      id: row.id,
      title: row.title,
      draft: draftSchema.parse(JSON.parse(row.draft_json)),
      createdBy: row.created_by,
      updatedAt: row.updated_at,
    }
  );
}

/** Takes an experiment out of every list; the store refuses it where a session is sealed. */
export async function discardExperiment(trx: Write, id: string, at: string): Promise<void> {
  await trx.updateTable("experiments").set({ discarded_at: at }).where("id", "=", id).execute();
}

/** Every experiment without its plan, the one last worked on first. */
export async function listExperiments(db: Read): Promise<{ id: string; title: string }[]> {
  return await db
    .selectFrom("experiments")
    .select(["id", "title"])
    .where("discarded_at", "is", null)
    .orderBy("updated_at", "desc")
    .orderBy("id")
    .execute();
}
