import type { FastifyPluginAsync } from "fastify";
import { leadIn } from "../access.ts";
import { type Deps, now } from "../deps.ts";
import { notFound, type PublicRefusal, sendRefusal } from "../errors.ts";
import { appendEvent } from "../store/events.ts";
import { discardSession, sessionById } from "../store/sessions.ts";

type SessionRoute = { Params: { sessionId: string } };

/** Discarding a session that was set up and never sealed. */
export function discarding(deps: Deps): FastifyPluginAsync {
  return async (app) => {
    const config = { access: "lead" as const };
    const path = "/lead/sessions/:sessionId/discarding";
    app.get<SessionRoute>(path, { config }, async (request, reply) => {
      const session = await sessionById(deps.store, request.params.sessionId);
      if (session === undefined) return sendRefusal(request, reply, notFound);
      if (session.state !== "draft") return sendRefusal(request, reply, sealedStays);
      return reply.page("lead/discarding", { title: `Discard ${session.name}`, session });
    });
    app.post<SessionRoute>(
      path,
      { config, preHandler: app.csrfProtection },
      async (request, reply) => {
        const session = await sessionById(deps.store, request.params.sessionId);
        if (session === undefined) return sendRefusal(request, reply, notFound);
        const at = now(deps);
        const actor = `lead:${leadIn(request).id}`;
        const discarded = await deps.store.transaction().execute(async (trx) => {
          if (!(await discardSession(trx, session.id, at))) return false;
          await appendEvent(trx, session.id, { at, actor, kind: "discarded", body: {} });
          return true;
        });
        if (!discarded) return sendRefusal(request, reply, sealedStays);
        return await reply.redirect(`/lead/experiments/${session.experimentId}`, 303);
      },
    );
  };
}

const sealedStays: PublicRefusal = {
  status: 409,
  headline: "A sealed session stays",
  advice:
    "Only a session that isn’t sealed can be discarded: what was sealed stays on record, whatever came of it. Nothing has changed.",
};
