import type { Transaction } from "kysely";
import type { Store } from "./database.ts";
import type { Database } from "./schema.ts";

type Read = Store | Transaction<Database>;

export type LinkTarget = Database["links"]["shows"];

export interface Link {
  id: string;
  sessionId: string;
  shows: LinkTarget;
  note: string;
  createdAt: string;
  expiresAt: string | null;
  revokedAt: string | null;
  /** Of a sheet the one opening, of a report the last. */
  openedAt: string | null;
}

const columns = [
  "id",
  "session_id as sessionId",
  "shows",
  "note",
  "created_at as createdAt",
  "expires_at as expiresAt",
  "revoked_at as revokedAt",
  "opened_at as openedAt",
] as const;

export async function addLink(
  trx: Transaction<Database>,
  link: {
    id: string;
    sessionId: string;
    shows: LinkTarget;
    tokenHash: string;
    note: string;
    at: string;
    expiresAt: string | null;
  },
): Promise<void> {
  await trx
    .insertInto("links")
    .values({
      id: link.id,
      session_id: link.sessionId,
      shows: link.shows,
      token_hash: link.tokenHash,
      note: link.note,
      created_at: link.at,
      expires_at: link.expiresAt,
      revoked_at: null,
      opened_at: null,
    })
    .execute();
}

/** A link by its token, while it is neither revoked nor expired. */
export async function liveLink(db: Read, tokenHash: string, at: string): Promise<Link | undefined> {
  return await db
    .selectFrom("links")
    .select(columns)
    .where("token_hash", "=", tokenHash)
    .where("revoked_at", "is", null)
    .where((where) => where.or([where("expires_at", "is", null), where("expires_at", ">", at)]))
    .executeTakeFirst();
}

export async function linksOf(db: Read, sessionId: string): Promise<Link[]> {
  return await db
    .selectFrom("links")
    .select(columns)
    .where("session_id", "=", sessionId)
    .orderBy("created_at")
    .execute();
}

/** Notes the first opening; false when somebody opened the link before. */
export async function openLink(
  trx: Transaction<Database>,
  id: string,
  at: string,
): Promise<boolean> {
  const result = await trx
    .updateTable("links")
    .set({ opened_at: at })
    .where("id", "=", id)
    .where("opened_at", "is", null)
    .executeTakeFirst();
  return result.numUpdatedRows === 1n;
}

/** Notes when what a link shows was last read; no event, since reading changes nothing in a session. */
export async function noteReading(
  trx: Transaction<Database>,
  id: string,
  at: string,
): Promise<void> {
  await trx.updateTable("links").set({ opened_at: at }).where("id", "=", id).execute();
}

/** Ends a link for good; false when the session has no such live link. */
export async function revokeLink(
  trx: Transaction<Database>,
  link: { id: string; sessionId: string; at: string },
): Promise<boolean> {
  const result = await trx
    .updateTable("links")
    .set({ revoked_at: link.at })
    .where("id", "=", link.id)
    .where("session_id", "=", link.sessionId)
    .where("revoked_at", "is", null)
    .executeTakeFirst();
  return result.numUpdatedRows === 1n;
}
