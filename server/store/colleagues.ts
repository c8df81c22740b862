import type { Transaction } from "kysely";
import type { Store } from "./database.ts";
import type { Lead } from "./leads.ts";
import type { Database } from "./schema.ts";

type Write = Transaction<Database>;
type Read = Store | Write;

/** Everyone who leads here now, by name; who was removed is not among them. */
export async function listLeads(db: Read): Promise<Lead[]> {
  return await db
    .selectFrom("leads")
    .select(["id", "name"])
    .where("removed_at", "is", null)
    .orderBy("name")
    .execute();
}

/** Whose name this is or was: a name stays with its first bearer, so that records stay clear. */
export async function bearerOf(
  db: Read,
  name: string,
): Promise<{ id: string; removed: boolean } | undefined> {
  const row = await db
    .selectFrom("leads")
    .select(["id", "removed_at"])
    .where("name", "=", name)
    .executeTakeFirst();
  return row && { id: row.id, removed: row.removed_at !== null };
}

export async function renameLead(trx: Write, leadId: string, name: string): Promise<void> {
  await trx.updateTable("leads").set({ name }).where("id", "=", leadId).execute();
}

/**
 * Takes a lead's access away: every visit and every open link of theirs ends, and so does every open
 * invitation, which they may have made or seen. What they did stays on record under their name. False when they are not among the leads, or are the last one.
 */
export async function removeLead(
  trx: Write,
  { leadId, by, at }: { leadId: string; by: string; at: string },
): Promise<boolean> {
  const leads = await listLeads(trx);
  if (leads.length < 2 || !leads.some(({ id }) => id === leadId)) return false;
  await trx
    .updateTable("leads")
    .set({ removed_at: at, removed_by: by })
    .where("id", "=", leadId)
    .execute();
  await trx.deleteFrom("lead_visits").where("lead_id", "=", leadId).execute();
  await trx
    .updateTable("lead_invitations")
    .set({ used_at: at })
    .where("used_at", "is", null)
    .where((eb) => eb.or([eb("lead_id", "=", leadId), eb("purpose", "=", "invite")]))
    .execute();
  return true;
}

/** An invitation that nobody has used yet; the hash of its token names it and opens nothing. */
export interface OpenInvitation {
  tokenHash: string;
  madeAt: string;
  expiresAt: string;
}

/** Invitations of new leads that still work, the newest first. */
export async function openInvitations(db: Read, at: string): Promise<OpenInvitation[]> {
  return await db
    .selectFrom("lead_invitations")
    .select(["token_hash as tokenHash", "created_at as madeAt", "expires_at as expiresAt"])
    .where("purpose", "=", "invite")
    .where("used_at", "is", null)
    .where("expires_at", ">", at)
    .orderBy("created_at", "desc")
    .orderBy("token_hash")
    .execute();
}

/** Ends an invitation of a new lead; false when it was used, has expired or never was. */
export async function cancelInvitation(
  trx: Write,
  tokenHash: string,
  at: string,
): Promise<boolean> {
  const result = await trx
    .updateTable("lead_invitations")
    .set({ used_at: at })
    .where("token_hash", "=", tokenHash)
    .where("purpose", "=", "invite")
    .where("used_at", "is", null)
    .where("expires_at", ">", at)
    .executeTakeFirst();
  return result.numUpdatedRows === 1n;
}
