import type { Transaction } from "kysely";
import type { Store } from "./database.ts";
import type { Database } from "./schema.ts";

type Write = Transaction<Database>;
type Read = Store | Write;

export interface Lead {
  id: string;
  name: string;
}

export type InvitationPurpose = "set-up" | "invite" | "reset" | "sign-in";

export interface Invitation {
  purpose: InvitationPurpose;
  leadId: string | null;
}

/** The installation's own secret for signing cookies, made at the first start. */
export async function cookieSecret(trx: Write, fresh: string, at: string): Promise<string> {
  await trx
    .insertInto("installation")
    .values({ id: 1, cookie_secret: fresh, created_at: at })
    .onConflict((conflict) => conflict.column("id").doNothing())
    .execute();
  const row = await trx
    .selectFrom("installation")
    .select("cookie_secret")
    .where("id", "=", 1)
    .executeTakeFirstOrThrow();
  return row.cookie_secret;
}

export async function anyLead(db: Read): Promise<boolean> {
  const row = await db.selectFrom("leads").select("id").limit(1).executeTakeFirst();
  return row !== undefined;
}

/** The lead of a name, with what their passphrase is checked against; nobody who was removed. */
export async function leadByName(
  db: Read,
  name: string,
): Promise<(Lead & { passphraseHash: string }) | undefined> {
  const row = await db
    .selectFrom("leads")
    .select(["id", "name", "passphrase_hash"])
    .where("name", "=", name)
    .where("removed_at", "is", null)
    .executeTakeFirst();
  return row && { id: row.id, name: row.name, passphraseHash: row.passphrase_hash };
}

export async function addLead(
  trx: Write,
  lead: Lead & { passphraseHash: string; at: string },
): Promise<void> {
  await trx
    .insertInto("leads")
    .values({
      id: lead.id,
      name: lead.name,
      passphrase_hash: lead.passphraseHash,
      created_at: lead.at,
    })
    .execute();
}

/** Gives a lead a new passphrase and ends every visit that the old one opened. */
export async function setPassphrase(trx: Write, leadId: string, hash: string): Promise<void> {
  await trx.updateTable("leads").set({ passphrase_hash: hash }).where("id", "=", leadId).execute();
  await trx.deleteFrom("lead_visits").where("lead_id", "=", leadId).execute();
}

export async function addInvitation(
  trx: Write,
  invitation: Invitation & { tokenHash: string; at: string; expiresAt: string },
): Promise<void> {
  await trx
    .insertInto("lead_invitations")
    .values({
      token_hash: invitation.tokenHash,
      purpose: invitation.purpose,
      lead_id: invitation.leadId,
      created_at: invitation.at,
      expires_at: invitation.expiresAt,
      used_at: null,
    })
    .execute();
}

/** An invitation that has neither been used nor expired. */
export async function openInvitation(
  db: Read,
  tokenHash: string,
  at: string,
): Promise<Invitation | undefined> {
  const row = await db
    .selectFrom("lead_invitations")
    .select(["purpose", "lead_id"])
    .where("token_hash", "=", tokenHash)
    .where("used_at", "is", null)
    .where("expires_at", ">", at)
    .executeTakeFirst();
  return row && { purpose: row.purpose, leadId: row.lead_id };
}

/** Spends an invitation; false when it was spent before, has expired or never was. */
export async function useInvitation(trx: Write, tokenHash: string, at: string): Promise<boolean> {
  const result = await trx
    .updateTable("lead_invitations")
    .set({ used_at: at })
    .where("token_hash", "=", tokenHash)
    .where("used_at", "is", null)
    .where("expires_at", ">", at)
    .executeTakeFirst();
  return result.numUpdatedRows === 1n;
}

/** Ends every unused invitation of one purpose, so that only the newest link works. */
export async function withdrawInvitations(
  trx: Write,
  purpose: InvitationPurpose,
  at: string,
): Promise<void> {
  await trx
    .updateTable("lead_invitations")
    .set({ used_at: at })
    .where("purpose", "=", purpose)
    .where("used_at", "is", null)
    .execute();
}

export async function addVisit(
  trx: Write,
  visit: { tokenHash: string; leadId: string; at: string; expiresAt: string },
): Promise<void> {
  await trx.deleteFrom("lead_visits").where("expires_at", "<=", visit.at).execute();
  await trx
    .insertInto("lead_visits")
    .values({
      token_hash: visit.tokenHash,
      lead_id: visit.leadId,
      created_at: visit.at,
      expires_at: visit.expiresAt,
    })
    .execute();
}

export async function endVisit(trx: Write, tokenHash: string): Promise<void> {
  await trx.deleteFrom("lead_visits").where("token_hash", "=", tokenHash).execute();
}

export async function leadOfVisit(
  db: Read,
  tokenHash: string,
  at: string,
): Promise<Lead | undefined> {
  return await db
    .selectFrom("lead_visits")
    .innerJoin("leads", "leads.id", "lead_visits.lead_id")
    .select(["leads.id", "leads.name"])
    .where("lead_visits.token_hash", "=", tokenHash)
    .where("lead_visits.expires_at", ">", at)
    .where("leads.removed_at", "is", null)
    .executeTakeFirst();
}
