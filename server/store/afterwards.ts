import type { Transaction } from "kysely";
import { z } from "zod";
import type { Store } from "./database.ts";
import { appendEvent } from "./events.ts";
import type { Database } from "./schema.ts";

type Read = Store | Transaction<Database>;

/** What a session's tasters may see afterwards: the lead's choice. */
export const tastersSeeSchema = z.enum(["nothing", "own", "own-and-headline"]);
export type TastersSee = z.infer<typeof tastersSeeSchema>;

/** What tasters may see at this moment: nothing before the key is open, whatever is stored. */
export async function tastersSee(db: Read, sessionId: string): Promise<TastersSee> {
  const row = await db
    .selectFrom("sessions")
    .select("tasters_see")
    .where("id", "=", sessionId)
    .where("state", "=", "unblinded")
    .executeTakeFirst();
  return row?.tasters_see ?? "nothing";
}

/** Stores the lead's choice with its event; false before the key is open. */
export async function letTastersSee(
  trx: Transaction<Database>,
  choice: { sessionId: string; see: TastersSee; actor: string; at: string },
): Promise<boolean> {
  const { sessionId, see, actor, at } = choice;
  const result = await trx
    .updateTable("sessions")
    .set({ tasters_see: see })
    .where("id", "=", sessionId)
    .where("state", "=", "unblinded")
    .executeTakeFirst();
  if (result.numUpdatedRows === 0n) return false;
  await appendEvent(trx, sessionId, { at, actor, kind: "tasters-may-see", body: { see } });
  return true;
}
