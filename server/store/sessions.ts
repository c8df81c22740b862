import type { Selectable, Transaction } from "kysely";
import { type Plan, planSchema } from "../../src/experiment/plan.ts";
import type { SessionState } from "../../src/experiment/session.ts";
import type { Store } from "./database.ts";
import type { Database } from "./schema.ts";

type Write = Transaction<Database>;
type Read = Store | Write;

/** A session as the lead knows it; the secrets are a table of their own. */
export interface Session {
  id: string;
  experimentId: string;
  name: string;
  /** ISO date of the sitting; null until one is set. */
  heldOn: string | null;
  state: SessionState;
  /** `imported` when an outside panel gave the answers: nothing of it was blinded here. */
  origin: "run-here" | "imported";
  createdAt: string;
  sealedAt: string | null;
  openedAt: string | null;
  closedAt: string | null;
  unblindedAt: string | null;
  /** Since when an open session takes no answers; null while it goes on. */
  pausedAt: string | null;
  /** What sealing fixed; null in a draft. */
  sealed: SealedPart | null;
}

export interface SealedPart {
  plan: Plan;
  /** The exact text that the hash is of. */
  planJson: string;
  planHash: string;
  commitment: string;
  joinCode: string;
}

export async function addSession(
  trx: Write,
  session: { id: string; experimentId: string; name: string; heldOn: string | null; at: string },
): Promise<void> {
  await trx
    .insertInto("sessions")
    .values({
      id: session.id,
      experiment_id: session.experimentId,
      name: session.name,
      held_on: session.heldOn,
      state: "draft",
      plan_json: null,
      plan_hash: null,
      commitment: null,
      join_code: null,
      created_at: session.at,
      sealed_at: null,
      opened_at: null,
      closed_at: null,
      unblinded_at: null,
    })
    .execute();
}

export async function sessionById(db: Read, id: string): Promise<Session | undefined> {
  const row = await db
    .selectFrom("sessions")
    .selectAll()
    .where("id", "=", id)
    .where("discarded_at", "is", null)
    .executeTakeFirst();
  return row && fromRow(row);
}

/** Takes a draft session out of every list; its log stays. False when it is no draft any more. */
export async function discardSession(trx: Write, id: string, at: string): Promise<boolean> {
  const result = await trx
    .updateTable("sessions")
    .set({ discarded_at: at })
    .where("id", "=", id)
    .where("state", "=", "draft")
    .where("discarded_at", "is", null)
    .executeTakeFirst();
  return result.numUpdatedRows === 1n;
}

export async function sessionByJoinCode(db: Read, joinCode: string): Promise<Session | undefined> {
  const row = await db
    .selectFrom("sessions")
    .selectAll()
    .where("join_code", "=", joinCode)
    .executeTakeFirst();
  return row && fromRow(row);
}

/** Sessions of one experiment, or of all, in the order they were set up. */
export async function listSessions(db: Read, experimentId?: string): Promise<Session[]> {
  let query = db
    .selectFrom("sessions")
    .selectAll()
    .where("discarded_at", "is", null)
    .orderBy("created_at")
    .orderBy("id");
  if (experimentId !== undefined) query = query.where("experiment_id", "=", experimentId);
  return (await query.execute()).map(fromRow);
}

/** Freezes the plan of a draft session. */
export async function fixPlan(
  trx: Write,
  sessionId: string,
  sealed: Omit<SealedPart, "plan"> & { at: string },
): Promise<void> {
  await trx
    .updateTable("sessions")
    .set({
      state: "sealed",
      plan_json: sealed.planJson,
      plan_hash: sealed.planHash,
      commitment: sealed.commitment,
      join_code: sealed.joinCode,
      sealed_at: sealed.at,
    })
    .where("id", "=", sessionId)
    .execute();
}

const momentOf = { open: "opened_at", closed: "closed_at", unblinded: "unblinded_at" } as const;

/** Moves a sealed session to its next state; the store refuses any other move. */
export async function moveSession(
  trx: Write,
  sessionId: string,
  state: keyof typeof momentOf,
  at: string,
): Promise<void> {
  await trx
    .updateTable("sessions")
    .set({ state, [momentOf[state]]: at })
    .where("id", "=", sessionId)
    .execute();
}

/** Seed, nonce and key of a sealed session: whoever reads them can read every cup. */
export interface SessionSecrets {
  seedHex: string;
  nonceHex: string;
  keyJson: string;
}

export async function addSecrets(
  trx: Write,
  sessionId: string,
  secrets: SessionSecrets,
): Promise<void> {
  await trx
    .insertInto("session_secrets")
    .values({
      session_id: sessionId,
      seed: secrets.seedHex,
      nonce: secrets.nonceHex,
      key_json: secrets.keyJson,
    })
    .execute();
}

/** Only for opening the key: unblinding, or a cup that must be identified. */
export async function secretsOf(db: Read, sessionId: string): Promise<SessionSecrets> {
  const row = await db
    .selectFrom("session_secrets")
    .selectAll()
    .where("session_id", "=", sessionId)
    .executeTakeFirstOrThrow();
  return { seedHex: row.seed, nonceHex: row.nonce, keyJson: row.key_json };
}

function fromRow(row: Selectable<Database["sessions"]>): Session {
  return {
    id: row.id,
    experimentId: row.experiment_id,
    name: row.name,
    heldOn: row.held_on,
    state: row.state,
    origin: row.origin,
    createdAt: row.created_at,
    sealedAt: row.sealed_at,
    openedAt: row.opened_at,
    closedAt: row.closed_at,
    unblindedAt: row.unblinded_at,
    pausedAt: row.paused_at,
    sealed: sealedPart(row),
  };
}

function sealedPart(row: Selectable<Database["sessions"]>): SealedPart | null {
  const { plan_json, plan_hash, commitment, join_code } = row;
  if (plan_json === null || plan_hash === null || commitment === null || join_code === null) {
    return null;
  }
  const plan = planSchema.parse(JSON.parse(plan_json));
  return { plan, planJson: plan_json, planHash: plan_hash, commitment, joinCode: join_code };
}
