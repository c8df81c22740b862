import type { FastifyReply } from "fastify";
import { LEAD_COOKIE } from "../access.ts";
import { type Deps, hashToken, newToken, now } from "../deps.ts";
import { addVisit } from "../store/leads.ts";

const VISIT_HOURS = 14;

/** Signs a lead in on this browser and sends them on to a path of our own. */
export async function startVisit(
  deps: Deps,
  reply: FastifyReply,
  leadId: string,
  next: string,
): Promise<FastifyReply> {
  const token = newToken(deps);
  const visit = { tokenHash: hashToken(token), leadId, at: now(deps) };
  const expiresAt = hoursFrom(deps, VISIT_HOURS);
  await deps.store.transaction().execute((trx) => addVisit(trx, { ...visit, expiresAt }));
  return await reply
    .setCookie(LEAD_COOKIE, token, {
      path: "/",
      httpOnly: true,
      sameSite: "lax",
      signed: true,
      maxAge: VISIT_HOURS * 3600,
    })
    .redirect(next, 303);
}

/** The moment some hours from now, as it is stored. */
export function hoursFrom(deps: Deps, hours: number): string {
  return new Date(deps.clock().getTime() + hours * 3_600_000).toISOString();
}
