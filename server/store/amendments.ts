import type { Transaction } from "kysely";
import { z } from "zod";
import type { SessionEvent } from "../../src/experiment/event.ts";
import type { Store } from "./database.ts";
import { eventsOf } from "./events.ts";
import type { Database } from "./schema.ts";

type Write = Transaction<Database>;
type Read = Store | Write;

const bodySchema = z.object({
  reason: z.string(),
  kit: z.enum(["kept", "drawn-anew"]),
  changes: z.array(z.object({ part: z.string(), before: z.string(), after: z.string() })),
});

/** A change of a sealed plan as the log has it. */
export type Amendment = z.infer<typeof bodySchema> & { at: string };

/** What was amended after sealing, in order. */
export async function amendmentsOf(db: Read, sessionId: string): Promise<Amendment[]> {
  return (await eventsOf(db, sessionId))
    .filter(({ kind }) => kind === "amended")
    .map(({ at, body }) => ({ at, ...bodySchema.parse(body) }));
}

/** Acts that leave a kit as drawn and unused: setting up, sealing, links to its sheets. */
const quietKinds = new Set([
  "set-up",
  "sealed",
  "amended",
  "link-made",
  "link-revoked",
  "sheet-opened",
  "sheet-opened-by-lead",
]);

/** Whether anything hangs on the kit: tasters, brews or incidents, or a key that was opened early. */
export function kitInUse(events: readonly SessionEvent[]): boolean {
  return events.some(({ kind }) => !quietKinds.has(kind));
}

/** Puts an amended plan in a sealed session's place; the store refuses it once the session has opened. */
export async function replacePlan(
  trx: Write,
  sessionId: string,
  amended: { planJson: string; planHash: string; commitment: string },
): Promise<void> {
  await trx
    .updateTable("sessions")
    .set({
      plan_json: amended.planJson,
      plan_hash: amended.planHash,
      commitment: amended.commitment,
    })
    .where("id", "=", sessionId)
    .execute();
}

/** Takes away a kit that nobody has used, with its key, so that another can be drawn. */
export async function removeKit(trx: Write, sessionId: string): Promise<void> {
  const pots = trx.selectFrom("pots").select("id").where("session_id", "=", sessionId);
  const seats = trx.selectFrom("seats").select("id").where("session_id", "=", sessionId);
  const trays = trx.selectFrom("presentations").select("id").where("seat_id", "in", seats);
  await trx.deleteFrom("cup_keys").where("pot_id", "in", pots).execute();
  await trx.deleteFrom("cups").where("seat_id", "in", seats).execute();
  await trx.deleteFrom("presentation_keys").where("presentation_id", "in", trays).execute();
  await trx.deleteFrom("presentations").where("seat_id", "in", seats).execute();
  await trx.deleteFrom("seats").where("session_id", "=", sessionId).execute();
  await trx.deleteFrom("spare_cups").where("pot_id", "in", pots).execute();
  await trx.deleteFrom("pot_keys").where("pot_id", "in", pots).execute();
  await trx.deleteFrom("pots").where("session_id", "=", sessionId).execute();
  await trx.deleteFrom("session_secrets").where("session_id", "=", sessionId).execute();
}
