import type { FastifyPluginAsync, FastifyReply, FastifyRequest } from "fastify";
import { planHash } from "../../src/design/seal.ts";
import type { Plan } from "../../src/experiment/plan.ts";
import { leadIn } from "../access.ts";
import type { Deps } from "../deps.ts";
import { notFound, type PublicRefusal, sendRefusal } from "../errors.ts";
import { formOf, textOf } from "../form.ts";
import { seal } from "../sealing.ts";
import { experimentById } from "../store/experiments.ts";
import { type Session, sessionById } from "../store/sessions.ts";
import { planToSeal, showExperiment } from "./experiment-page.ts";
import { outlookInWords } from "./outlook-words.ts";
import { planInWords } from "./plan-words.ts";

type SessionRoute = { Params: { sessionId: string } };

/** Reading a plan back and sealing a session under it. */
export function sealPage(deps: Deps): FastifyPluginAsync {
  return async (app) => {
    const config = { access: "lead" as const };
    const path = "/lead/sessions/:sessionId/seal";
    app.get<SessionRoute>(path, { config }, (request, reply) =>
      withPlan(deps, request, reply, async (ready) => showSeal(reply, ready, null)),
    );
    app.post<SessionRoute>(path, { config, preHandler: app.csrfProtection }, (request, reply) =>
      withPlan(deps, request, reply, async (ready) => {
        if (textOf(formOf(request.body), "planHash") !== planHash(ready.plan)) {
          reply.code(409);
          return showSeal(reply, ready, "The plan was changed while you read it. Read it again.");
        }
        return await sealNow(deps, request, reply, ready);
      }),
    );
  };
}

interface Ready {
  session: Session;
  plan: Plan;
}

/** Goes on with a draft session and its complete plan; otherwise says what is in the way. */
async function withPlan(
  deps: Deps,
  request: FastifyRequest<SessionRoute>,
  reply: FastifyReply,
  goOn: (ready: Ready) => Promise<FastifyReply>,
): Promise<FastifyReply> {
  const session = await sessionById(deps.store, request.params.sessionId);
  const experiment = session && (await experimentById(deps.store, session.experimentId));
  if (session === undefined || experiment === undefined) {
    return sendRefusal(request, reply, notFound);
  }
  if (session.state !== "draft") return sendRefusal(request, reply, alreadySealed);
  const reading = await planToSeal(deps, experiment);
  if (!reading.ok) return await showExperiment(deps, reply, experiment, { sealing: true });
  return await goOn({ session, plan: reading.plan });
}

const alreadySealed: PublicRefusal = {
  status: 409,
  headline: "This session is sealed already",
  advice:
    "Its plan, codes and orders stand, and nothing has changed. Go back to the session; for another sitting, set up one more session.",
};

async function sealNow(
  deps: Deps,
  request: FastifyRequest,
  reply: FastifyReply,
  { session, plan }: Ready,
): Promise<FastifyReply> {
  const actor = `lead:${leadIn(request).id}`;
  const outcome = await seal(deps, { sessionId: session.id, plan, actor });
  if (outcome.ok) {
    deps.live.changed(session.id);
    return await reply.redirect(`/lead/sessions/${session.id}`, 303);
  }
  if (outcome.refusal === "cannot-serve") {
    reply.code(422);
    return showSeal(reply, { session, plan }, `These cups can’t be coded: ${outcome.message}.`);
  }
  const refusal = outcome.refusal === "no-session" ? notFound : alreadySealed;
  return sendRefusal(request, reply, refusal);
}

function showSeal(reply: FastifyReply, { session, plan }: Ready, problem: string | null) {
  return reply.page("lead/seal", {
    title: `Seal ${session.name}`,
    id: session.id,
    name: session.name,
    experimentId: session.experimentId,
    problem,
    words: planInWords(plan),
    outlook: outlookInWords(plan),
    planHash: planHash(plan),
  });
}
