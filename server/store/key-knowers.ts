import type { Store } from "./database.ts";

/** Whether a lead has opened a sheet that tells of pots or treatments, or the key before its time. */
export async function hasSeenKey(db: Store, sessionId: string, leadId: string): Promise<boolean> {
  const seen = await db
    .selectFrom("events")
    .select("sequence")
    .where("session_id", "=", sessionId)
    .where("actor", "=", `lead:${leadId}`)
    .where("kind", "in", ["sheet-opened-by-lead", "key-opened-early"])
    .limit(1)
    .executeTakeFirst();
  return seen !== undefined;
}
