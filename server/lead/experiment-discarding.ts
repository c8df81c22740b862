import type { FastifyPluginAsync } from "fastify";
import { leadIn } from "../access.ts";
import { type Deps, now } from "../deps.ts";
import { notFound, type PublicRefusal, sendRefusal } from "../errors.ts";
import { appendEvent } from "../store/events.ts";
import { discardExperiment, experimentById } from "../store/experiments.ts";
import { discardSession, listSessions } from "../store/sessions.ts";
import { sessionLine } from "./session-words.ts";

type ExperimentRoute = { Params: { experimentId: string } };

/** Discarding an experiment that nothing was sealed under, with the sessions set up for it. */
export function experimentDiscarding(deps: Deps): FastifyPluginAsync {
  return async (app) => {
    const config = { access: "lead" as const };
    const path = "/lead/experiments/:experimentId/discarding";
    app.get<ExperimentRoute>(path, { config }, async (request, reply) => {
      const experiment = await experimentById(deps.store, request.params.experimentId);
      if (experiment === undefined) return sendRefusal(request, reply, notFound);
      const sessions = await listSessions(deps.store, experiment.id);
      if (sessions.some(({ sealed }) => sealed !== null)) {
        return sendRefusal(request, reply, sealedStays);
      }
      const { id, title } = experiment;
      return reply.page("lead/experiment-discarding", {
        title: `Discard ${title}`,
        experiment: { id, title },
        sessions: sessions.map(sessionLine),
      });
    });
    app.post<ExperimentRoute>(
      path,
      { config, preHandler: app.csrfProtection },
      async (request, reply) => {
        const { experimentId } = request.params;
        const outcome = await discard(deps, experimentId, `lead:${leadIn(request).id}`);
        if (outcome === "unknown") return sendRefusal(request, reply, notFound);
        if (outcome === "sealed") return sendRefusal(request, reply, sealedStays);
        return await reply.redirect("/lead?discarded=yes", 303);
      },
    );
  };
}

const sealedStays: PublicRefusal = {
  status: 409,
  headline: "An experiment with a sealed session stays",
  advice:
    "What was sealed stays on record, whatever came of it, and its plan with it. Nothing has changed.",
};

/** Takes an experiment and its draft sessions out of every list, each session with its event. */
async function discard(
  deps: Deps,
  experimentId: string,
  actor: string,
): Promise<"discarded" | "sealed" | "unknown"> {
  const at = now(deps);
  return await deps.store.transaction().execute(async (trx) => {
    if ((await experimentById(trx, experimentId)) === undefined) return "unknown";
    const sessions = await listSessions(trx, experimentId);
    if (sessions.some(({ sealed }) => sealed !== null)) return "sealed";
    for (const { id } of sessions) {
      await discardSession(trx, id, at);
      await appendEvent(trx, id, { at, actor, kind: "discarded", body: { experimentId } });
    }
    await discardExperiment(trx, experimentId, at);
    return "discarded";
  });
}
