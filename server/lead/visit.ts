import type { FastifyReply } from "fastify";
import type { Transaction } from "kysely";
import { LEAD_COOKIE } from "../access.ts";
import { type Deps, hashToken, newToken, now, overHttps } from "../deps.ts";
import { addVisit } from "../store/leads.ts";
import type { Database } from "../store/schema.ts";

const VISIT_HOURS = 14;

/** Signs a lead in on this browser and sends them on to a path of our own. */
export async function startVisit(
  deps: Deps,
  reply: FastifyReply,
  leadId: string,
  next: string,
): Promise<FastifyReply> {
  const token = await deps.store.transaction().execute((trx) => openVisit(trx, deps, leadId));
  return await giveVisit(deps, reply, token, next);
}

/** Stores a new visit of a lead and returns its token, of which the store keeps only a hash. */
export async function openVisit(
  trx: Transaction<Database>,
  deps: Deps,
  leadId: string,
): Promise<string> {
  const token = newToken(deps);
  const expiresAt = hoursFrom(deps, VISIT_HOURS);
  await addVisit(trx, { tokenHash: hashToken(token), leadId, at: now(deps), expiresAt });
  return token;
}

/** Gives this browser a visit that is stored, and sends it on to a path of our own. */
export async function giveVisit(
  deps: Deps,
  reply: FastifyReply,
  token: string,
  next: string,
): Promise<FastifyReply> {
  return await reply
    .setCookie(LEAD_COOKIE, token, {
      path: "/",
      httpOnly: true,
      sameSite: "lax",
      signed: true,
      secure: overHttps(deps),
      maxAge: VISIT_HOURS * 3600,
    })
    .redirect(next, 303);
}

/** The moment some hours from now, as it is stored. */
export function hoursFrom(deps: Deps, hours: number): string {
  return new Date(deps.clock().getTime() + hours * 3_600_000).toISOString();
}
