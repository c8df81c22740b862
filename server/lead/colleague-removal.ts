import type { FastifyPluginAsync } from "fastify";
import { LEAD_COOKIE, leadIn } from "../access.ts";
import { type Deps, now } from "../deps.ts";
import { notFound, type PublicRefusal, sendRefusal } from "../errors.ts";
import { listLeads, removeLead } from "../store/colleagues.ts";

type LeadRoute = { Params: { leadId: string } };

/** Taking a colleague's access away, after a confirmation; somebody always stays. */
export function colleagueRemoval(deps: Deps): FastifyPluginAsync {
  return async (app) => {
    const config = { access: "lead" as const };
    const path = "/lead/colleagues/:leadId/removal";
    app.get<LeadRoute>(path, { config }, async (request, reply) => {
      const leads = await listLeads(deps.store);
      const lead = leads.find(({ id }) => id === request.params.leadId);
      if (lead === undefined) return sendRefusal(request, reply, notFound);
      if (leads.length === 1) return sendRefusal(request, reply, lastOneStays);
      const isSelf = lead.id === leadIn(request).id;
      const title = isSelf ? "Remove yourself" : `Remove ${lead.name}`;
      return reply.page("lead/colleague-removal", { title, lead, isSelf });
    });
    app.post<LeadRoute>(
      path,
      { config, preHandler: app.csrfProtection },
      async (request, reply) => {
        const { leadId } = request.params;
        const by = leadIn(request).id;
        const at = now(deps);
        const outcome = await deps.store.transaction().execute(async (trx) => {
          const leads = await listLeads(trx);
          if (!leads.some(({ id }) => id === leadId)) return "unknown";
          return (await removeLead(trx, { leadId, by, at })) ? "removed" : "last";
        });
        if (outcome === "unknown") return sendRefusal(request, reply, notFound);
        if (outcome === "last") return sendRefusal(request, reply, lastOneStays);
        if (leadId !== by) return await reply.redirect("/lead/colleagues", 303);
        return await reply.clearCookie(LEAD_COOKIE, { path: "/" }).redirect("/sign-in", 303);
      },
    );
  };
}

const lastOneStays: PublicRefusal = {
  status: 409,
  headline: "The last lead stays",
  advice:
    "Somebody must be able to sign in. Invite a colleague first; once they have come in, remove this one. Nothing has changed.",
};
