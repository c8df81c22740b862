import type { FastifyPluginAsync } from "fastify";
import type { Deps } from "../deps.ts";
import { notFound, sendRefusal } from "../errors.ts";
import { formOf, numberFrom, textOf } from "../form.ts";
import { noPouringNow, recordPouring } from "../pouring.ts";
import { openedSheet, type TokenRoute } from "./second-person.ts";

/** The pourer says on the pour sheet itself when a round was poured. */
export function sheetPouring(deps: Deps): FastifyPluginAsync {
  return async (app) => {
    app.post<TokenRoute>(
      "/sheet/:token/poured",
      { config: { access: "link" }, preHandler: app.csrfProtection },
      async (request, reply) => {
        const at = await openedSheet(deps, request);
        if (!at.ok) return sendRefusal(request, reply, at.refusal);
        if (at.shows !== "pour-sheet") return sendRefusal(request, reply, notFound);
        const form = formOf(request.body);
        const round = numberFrom(textOf(form, "round")) ?? 0;
        const outcome = await recordPouring(deps, {
          sessionId: at.session.id,
          actor: `link:${at.link.id}`,
          round,
          known: numberFrom(textOf(form, "known")) ?? -1,
        });
        if (outcome === "no-round") return sendRefusal(request, reply, notFound);
        if (outcome === "not-now") return sendRefusal(request, reply, noPouringNow);
        return reply.redirect(`/sheet/${request.params.token}#round-${round}`, 303);
      },
    );
  };
}
