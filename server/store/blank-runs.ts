import type { Transaction } from "kysely";
import type { ParityRun } from "../../src/brew/parity.ts";
import type { Store } from "./database.ts";
import type { Database } from "./schema.ts";

/** A session's blank runs in the order they were logged. */
export async function blankRuns(db: Store, sessionId: string): Promise<ParityRun[]> {
  return await db
    .selectFrom("blank_runs")
    .select(["brewer", "brew_seconds as brewSeconds", "beverage_grams as beverageGrams"])
    .where("session_id", "=", sessionId)
    .orderBy("logged_at")
    .orderBy("id")
    .execute();
}

export async function addBlankRun(
  trx: Transaction<Database>,
  run: ParityRun & { id: string; sessionId: string; at: string },
): Promise<void> {
  await trx
    .insertInto("blank_runs")
    .values({
      id: run.id,
      session_id: run.sessionId,
      brewer: run.brewer,
      brew_seconds: run.brewSeconds,
      beverage_grams: run.beverageGrams,
      logged_at: run.at,
    })
    .execute();
}
