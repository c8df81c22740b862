import type { Transaction } from "kysely";
import { z } from "zod";
import type { Store } from "./database.ts";
import type { Database } from "./schema.ts";

type Write = Transaction<Database>;
type Read = Store | Write;

/** A match form as typed, its amounts in g, mL and °C: field name → text. */
const draftSchema = z.record(z.string(), z.string());

export interface SavedMatch {
  id: string;
  name: string;
  experimentId: string | null;
  experimentTitle: string | null;
  draft: Record<string, string>;
  createdAt: string;
}

export interface NewMatch {
  id: string;
  name: string;
  experimentId: string | null;
  draft: Record<string, string>;
  createdBy: string;
  at: string;
}

/** Saves a match for good; false when there is one of that name. */
export async function addMatch(trx: Write, match: NewMatch): Promise<boolean> {
  const result = await trx
    .insertInto("water_recipes")
    .values({
      id: match.id,
      name: match.name,
      experiment_id: match.experimentId,
      draft_json: JSON.stringify(match.draft),
      created_by: match.createdBy,
      created_at: match.at,
    })
    .onConflict((conflict) => conflict.column("name").doNothing())
    .executeTakeFirst();
  return (result.numInsertedOrUpdatedRows ?? 0n) > 0n;
}

/** Every saved match, the newest first. */
export async function listMatches(db: Read): Promise<SavedMatch[]> {
  const rows = await matches(db).orderBy("water_recipes.created_at", "desc").execute();
  return rows.map(asMatch);
}

export async function matchById(db: Read, id: string): Promise<SavedMatch | undefined> {
  const row = await matches(db).where("water_recipes.id", "=", id).executeTakeFirst();
  return row && asMatch(row);
}

function matches(db: Read) {
  return db
    .selectFrom("water_recipes")
    .leftJoin("experiments", "experiments.id", "water_recipes.experiment_id")
    .select([
      "water_recipes.id",
      "water_recipes.name",
      "water_recipes.experiment_id as experimentId",
      "experiments.title as experimentTitle",
      "water_recipes.draft_json as draftJson",
      "water_recipes.created_at as createdAt",
    ]);
}

function asMatch({ draftJson, ...row }: Omit<SavedMatch, "draft"> & { draftJson: string }) {
  return { ...row, draft: draftSchema.parse(JSON.parse(draftJson)) };
}
