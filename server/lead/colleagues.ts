import type { FastifyPluginAsync, FastifyReply } from "fastify";
import type { Deps } from "../deps.ts";
import { listLeads } from "../store/leads.ts";
import { makeInvitation } from "./invitation.ts";

/** Who else leads sessions here, and inviting one more. */
export function colleagues(deps: Deps): FastifyPluginAsync {
  return async (app) => {
    app.get("/lead/colleagues", { config: { access: "lead" } }, async (_request, reply) =>
      showColleagues(deps, reply, null),
    );
    app.post(
      "/lead/colleagues/invitations",
      { config: { access: "lead" }, preHandler: app.csrfProtection },
      async (_request, reply) => {
        const token = await makeInvitation(deps, { purpose: "invite", leadId: null });
        return await showColleagues(deps, reply, `${deps.publicUrl()}/enter/${token}`);
      },
    );
  };
}

async function showColleagues(
  deps: Deps,
  reply: FastifyReply,
  invitation: string | null,
): Promise<FastifyReply> {
  const leads = await listLeads(deps.store);
  return reply.page("lead/colleagues", { title: "Colleagues", leads, invitation });
}
