import type { FastifyPluginAsync } from "fastify";
import { coffeeName } from "../../src/experiment/plan.ts";
import type { Deps } from "../deps.ts";
import { notFound, type PublicRefusal, sendRefusal } from "../errors.ts";
import { type SealedSession, sealedSession } from "../sealed-session.ts";
import { commentsOf, type SetComment } from "../store/comments.ts";

type SessionRoute = { Params: { sessionId: string } };

/** What tasters wrote, set by set and without a name: for leads once the key is open, in no report that leaves. */
export function commentsPage(deps: Deps): FastifyPluginAsync {
  return async (app) => {
    const config = { access: "lead" as const };
    app.get<SessionRoute>(
      "/lead/sessions/:sessionId/comments",
      { config },
      async (request, reply) => {
        const session = await sealedSession(deps.store, request.params.sessionId);
        if (session === undefined) return sendRefusal(request, reply, notFound);
        if (session.state !== "unblinded") return sendRefusal(request, reply, notYet);
        const comments = await commentsOf(deps.store, session.id);
        return reply.page("report/comments", {
          title: "What tasters wrote",
          session,
          coffees: byCoffee(session, comments),
        });
      },
    );
  };
}

const notYet: PublicRefusal = {
  status: 409,
  headline: "Comments can’t be read yet",
  advice:
    "What tasters wrote is shown once the session is closed and its key opened. Do both on the session's page.",
};

function byCoffee({ plan }: SealedSession, comments: readonly SetComment[]) {
  return plan.coffees.flatMap(({ id }) => {
    const own = comments.filter(({ coffeeId }) => coffeeId === id);
    if (own.length === 0) return [];
    const sets = own.map((comment) => ({
      text: comment.text,
      cups: comment.cups.map(({ code, treatment }) => ({
        code,
        treatment: plan.treatments[treatment].name,
      })),
      asides: asidesOf(comment),
    }));
    return [{ name: coffeeName(plan, id), sets }];
  });
}

function asidesOf({ control, mixedUp, voided }: SetComment): string[] {
  return [
    ...(control === null ? [] : ["A hidden control: its cups held no difference."]),
    ...(mixedUp ? ["Two of these cups stood on each other’s codes."] : []),
    ...(voided ? ["The set was voided."] : []),
  ];
}
