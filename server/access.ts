import type { FastifyInstance, FastifyReply, FastifyRequest } from "fastify";
import { type Deps, hashToken, now } from "./deps.ts";
import { type Lead, leadOfVisit } from "./store/leads.ts";

/**
 * Who a door is for; a route that names nobody cannot be registered, the documentation of the JSON
 * doors apart, which everyone may read. Only `lead` doors are guarded here, before anything of theirs
 * runs. `seat` and `link` are what a route promises to check itself before it answers, since its token
 * names the thing it opens: with `seatOf` or `visitOf` (server/taster/) and `liveLink`
 * (server/store/links.ts). `anyone` checks nothing.
 */
export type Access = "anyone" | "lead" | "seat" | "link";

declare module "fastify" {
  interface FastifyContextConfig {
    access?: Access;
  }
  interface FastifyRequest {
    /** The signed-in lead, on routes whose access is `lead`. */
    lead: Lead | null;
  }
}

export const LEAD_COOKIE = "evenpour_lead";

/** Refuses routes that don't say who may use them, and lets only leads in at `lead` doors. */
export function guardDoors(app: FastifyInstance, deps: Deps): void {
  app.decorateRequest("lead", null);
  app.addHook("onRoute", (route) => {
    if (route.config?.access === undefined && !route.url.startsWith("/api/docs")) {
      throw new Error(`Route ${route.method} ${route.url} does not say who may use it`);
    }
  });
  app.addHook("onRequest", async (request, reply) => {
    if (request.is404 || request.routeOptions.config.access !== "lead") return;
    await admit(request, reply, deps);
  });
}

async function admit(request: FastifyRequest, reply: FastifyReply, deps: Deps): Promise<void> {
  request.lead = await leadOf(request, deps);
  if (request.lead !== null) return;
  const back = request.method === "GET" ? `?next=${encodeURIComponent(request.url)}` : "";
  await reply.redirect(`/sign-in${back}`, 303);
}

/** The lead whose visit a request carries, if any. */
export async function leadOf(request: FastifyRequest, deps: Deps): Promise<Lead | null> {
  const cookie = request.cookies[LEAD_COOKIE];
  if (cookie === undefined) return null;
  const { valid, value } = request.unsignCookie(cookie);
  if (!valid || value === null) return null;
  return (await leadOfVisit(deps.store, hashToken(value), now(deps))) ?? null;
}

/** The lead of a request on a `lead` door. */
export function leadIn(request: FastifyRequest): Lead {
  if (request.lead === null) throw new Error("This route is not guarded for leads");
  return request.lead;
}
