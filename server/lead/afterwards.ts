import type { FastifyPluginAsync, FastifyReply } from "fastify";
import { leadIn } from "../access.ts";
import { type Deps, now } from "../deps.ts";
import { notFound, type PublicRefusal, sendRefusal } from "../errors.ts";
import { formOf, textOf } from "../form.ts";
import {
  letTastersSee,
  type TastersSee,
  tastersSee,
  tastersSeeSchema,
} from "../store/afterwards.ts";
import { type Session, sessionById } from "../store/sessions.ts";

type SessionRoute = { Params: { sessionId: string } };

/** The lead's choice of what each taster may see on their own phone once the key is open. */
export function afterwards(deps: Deps): FastifyPluginAsync {
  return async (app) => {
    const config = { access: "lead" as const };
    const path = "/lead/sessions/:sessionId/afterwards";
    app.get<SessionRoute>(path, { config }, async (request, reply) => {
      const session = await sessionById(deps.store, request.params.sessionId);
      if (!session?.sealed || session.origin === "imported") {
        return sendRefusal(request, reply, notFound);
      }
      if (session.state !== "unblinded") return sendRefusal(request, reply, keyShut);
      const saved = textOf(formOf(request.query), "saved") !== "";
      return showChoice(reply, session, { see: await tastersSee(deps.store, session.id), saved });
    });
    app.post<SessionRoute>(
      path,
      { config, preHandler: app.csrfProtection },
      async (request, reply) => {
        const { sessionId } = request.params;
        const see = tastersSeeSchema.catch("nothing").parse(formOf(request.body).see);
        const actor = `lead:${leadIn(request).id}`;
        const stored = await deps.store
          .transaction()
          .execute((trx) => letTastersSee(trx, { sessionId, see, actor, at: now(deps) }));
        if (!stored) return sendRefusal(request, reply, keyShut);
        return await reply.redirect(`/lead/sessions/${sessionId}/afterwards?saved=yes`, 303);
      },
    );
  };
}

const keyShut: PublicRefusal = {
  status: 409,
  headline: "Tasters can’t see anything yet",
  advice: "Nobody sees a result before the session is closed and its key opened. Choose then.",
};

const choices: Record<TastersSee, string> = {
  nothing: "Nothing",
  own: "How they did: their own answers, and what their cups held",
  "own-and-headline": "How they did, and the report’s headline",
};

function showChoice(
  reply: FastifyReply,
  { id, name }: Session,
  { see, saved }: { see: TastersSee; saved: boolean },
): FastifyReply {
  return reply.page("lead/afterwards", {
    title: "What tasters may see",
    id,
    name,
    saved,
    choices: Object.entries(choices).map(([value, label]) => ({
      value,
      label,
      chosen: value === see,
    })),
  });
}
