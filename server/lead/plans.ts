import type { FastifyPluginAsync } from "fastify";
import { leadIn } from "../access.ts";
import { type Deps, newToken, now } from "../deps.ts";
import { notFound, sendRefusal } from "../errors.ts";
import { formOf, textOf } from "../form.ts";
import {
  addExperiment,
  type Draft,
  type Experiment,
  experimentById,
  listExperiments,
  saveDraft,
} from "../store/experiments.ts";
import { listSessions } from "../store/sessions.ts";
import { answerSaved, showExperiment, showNewPlan } from "./experiment-page.ts";
import { draftFrom } from "./plan-form.ts";
import { sessionLine } from "./session-words.ts";

type ExperimentRoute = { Params: { experimentId: string } };

/** Experiments and their plans: the list, the form, saving and copying. */
export function plans(deps: Deps): FastifyPluginAsync {
  return async (app) => {
    const config = { access: "lead" as const };
    const checked = { config, preHandler: app.csrfProtection };
    app.get("/lead", { config }, async (request, reply) => {
      const sessions = await listSessions(deps.store);
      const experiments = await listExperiments(deps.store);
      return reply.page("lead/experiments", {
        title: "Experiments",
        discarded: textOf(formOf(request.query), "discarded") !== "",
        experiments: experiments.map((experiment) => ({
          ...experiment,
          sessions: sessions
            .filter(({ experimentId }) => experimentId === experiment.id)
            .map(sessionLine),
        })),
      });
    });
    app.get("/lead/experiments/new", { config }, async (request, reply) =>
      showNewPlan(reply, draftFrom(request.query)),
    );
    app.post("/lead/experiments", checked, async (request, reply) => {
      const draft = draftFrom(request.body);
      const created = await create(deps, leadIn(request).id, draft, null);
      return await answerSaved(deps, reply, created);
    });
    app.get<ExperimentRoute>(
      "/lead/experiments/:experimentId",
      { config },
      async (request, reply) => {
        const experiment = await experimentById(deps.store, request.params.experimentId);
        if (experiment === undefined) return sendRefusal(request, reply, notFound);
        return await showExperiment(deps, reply, experiment, {
          saved: textOf(formOf(request.query), "saved") !== "",
        });
      },
    );
    app.post<ExperimentRoute>(
      "/lead/experiments/:experimentId",
      checked,
      async (request, reply) => {
        const experiment = await experimentById(deps.store, request.params.experimentId);
        if (experiment === undefined) return sendRefusal(request, reply, notFound);
        const sessions = await listSessions(deps.store, experiment.id);
        if (sessions.some(({ sealed }) => sealed !== null)) {
          return sendRefusal(request, reply, planSealed);
        }
        const typed = { ...experiment, draft: draftFrom(request.body) };
        const saved = await save(deps, typed, textOf(formOf(request.body), "version"));
        return saved === null
          ? await showExperiment(deps, reply, typed, { overtaken: true })
          : await answerSaved(deps, reply, saved);
      },
    );
    app.post<ExperimentRoute>(
      "/lead/experiments/:experimentId/copies",
      checked,
      async (request, reply) => {
        const from = await experimentById(deps.store, request.params.experimentId);
        if (from === undefined) return sendRefusal(request, reply, notFound);
        const draft = { ...from.draft, title: `Copy of ${titleOf(from.draft)}` };
        const copy = await create(deps, leadIn(request).id, draft, from.id);
        return reply.redirect(`/lead/experiments/${copy.id}`, 303);
      },
    );
  };
}

const planSealed = {
  status: 409,
  headline: "This plan is sealed",
  advice:
    "A session has been sealed under it, so it stays as it is. Copy the experiment to plan something else.",
};

async function create(
  deps: Deps,
  leadId: string,
  draft: Draft,
  copiedFrom: string | null,
): Promise<Experiment> {
  const created = { id: newToken(deps), title: titleOf(draft), draft, createdBy: leadId };
  const at = now(deps);
  await deps.store
    .transaction()
    .execute((trx) => addExperiment(trx, { ...created, copiedFrom, at }));
  return { ...created, updatedAt: at };
}

/** Saves over `version`; null when another version has been saved since. */
async function save(
  deps: Deps,
  experiment: Experiment,
  version: string,
): Promise<Experiment | null> {
  const typed = { ...experiment, title: titleOf(experiment.draft) };
  const at = now(deps);
  const saved = await deps.store.transaction().execute(async (trx) => {
    const sessions = await listSessions(trx, experiment.id);
    // A plan that a session was sealed under meanwhile stays as it was sealed.
    if (sessions.some(({ sealed }) => sealed !== null)) return false;
    return await saveDraft(trx, { ...typed, version, at });
  });
  return saved ? { ...typed, updatedAt: at } : null;
}

function titleOf(draft: Draft): string {
  return draft.title?.trim() || "Untitled";
}
