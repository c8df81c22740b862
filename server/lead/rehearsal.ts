import type { FastifyPluginAsync, FastifyReply, FastifyRequest } from "fastify";
import { planHash } from "../../src/design/seal.ts";
import type { Plan } from "../../src/experiment/plan.ts";
import type { Deps } from "../deps.ts";
import { notFound, type PublicRefusal, sendRefusal } from "../errors.ts";
import { errorSummary, type FieldErrors } from "../form.ts";
import { type Draft, experimentById } from "../store/experiments.ts";
import { planToSeal } from "./experiment-page.ts";
import { draftFrom } from "./plan-form.ts";
import { rehearsalFields } from "./rehearsal-fields.ts";
import { readRehearsal, rehearsalDraft } from "./rehearsal-form.ts";
import { rehearsalRow, surenessWords } from "./rehearsal-words.ts";
import type { RehearsalRun, Rehearsals } from "./rehearsals.ts";

type ExperimentRoute = { Params: { experimentId: string } };

/** Rehearsing a whole plan before it is sealed: assumptions in, how often each verdict comes out. */
export function rehearsal(deps: Deps, rehearsals: Rehearsals): FastifyPluginAsync {
  return async (app) => {
    const config = { access: "lead" as const };
    const checked = { config, preHandler: app.csrfProtection };
    const path = "/lead/experiments/:experimentId/rehearsal";
    app.get<ExperimentRoute>(path, { config }, (request, reply) =>
      withPlan(deps, request, reply, async (plan) => {
        const run = rehearsals.of(request.params.experimentId);
        const draft = rehearsalDraft(plan, run?.job.assumptions, run?.job.panels);
        return show(reply, { plan, run, draft, errors: {}, id: request.params.experimentId });
      }),
    );
    app.post<ExperimentRoute>(path, checked, (request, reply) =>
      withPlan(deps, request, reply, async (plan) => {
        const { experimentId: id } = request.params;
        const draft = { ...rehearsalDraft(plan), ...draftFrom(request.body) };
        const reading = readRehearsal(plan, draft);
        if (!reading.ok) {
          reply.code(422);
          return show(reply, { plan, run: rehearsals.of(id), draft, errors: reading.errors, id });
        }
        const seedHex = Buffer.from(deps.randomBytes(32)).toString("hex");
        const { assumptions, panels } = reading;
        const started = rehearsals.start(id, { plan, assumptions, panels, seedHex });
        return started
          ? await reply.redirect(`/lead/experiments/${id}/rehearsal`, 303)
          : sendRefusal(request, reply, tooManyWait);
      }),
    );
    app.post<ExperimentRoute>(`${path}/cancellation`, checked, async (request, reply) => {
      const { experimentId } = request.params;
      rehearsals.stop(experimentId);
      return await reply.redirect(`/lead/experiments/${experimentId}/rehearsal`, 303);
    });
  };
}

const tooManyWait: PublicRefusal = {
  status: 503,
  headline: "Too many rehearsals wait already",
  advice: "Wait a minute, then start yours again. Nothing else is held up.",
};

const planIncomplete: PublicRefusal = {
  status: 409,
  headline: "This plan can’t be rehearsed yet",
  advice: "Complete the plan first: its page says what is missing.",
};

async function withPlan(
  deps: Deps,
  request: FastifyRequest<ExperimentRoute>,
  reply: FastifyReply,
  goOn: (plan: Plan) => Promise<FastifyReply>,
): Promise<FastifyReply> {
  const experiment = await experimentById(deps.store, request.params.experimentId);
  if (experiment === undefined) return sendRefusal(request, reply, notFound);
  const reading = await planToSeal(deps, experiment);
  return reading.ok ? await goOn(reading.plan) : sendRefusal(request, reply, planIncomplete);
}

interface Shown {
  id: string;
  plan: Plan;
  run: RehearsalRun | undefined;
  draft: Draft;
  errors: FieldErrors;
}

/**
 * Seconds between two looks at a rehearsal that plays; a header, so that it works without scripts. The
 * page's address must hold no fragment: browsers would then jump within the page instead of asking again.
 */
const LOOK_AGAIN_SECONDS = 2;

function show(reply: FastifyReply, { id, plan, run, draft, errors }: Shown): FastifyReply {
  const running = run?.state === "running" || run?.state === "waiting";
  const mistaken = Object.keys(errors).length > 0;
  if (running && !mistaken) reply.header("refresh", String(LOOK_AGAIN_SECONDS));
  return reply.page("lead/rehearsal", {
    title: `Rehearse ${plan.title}`,
    stylesheet: "rehearsal.css",
    id,
    experiment: plan.title,
    errors: errorSummary(errors),
    fields: rehearsalFields(plan, draft, errors),
    running,
    result: run === undefined ? null : resultOf(plan, run),
  });
}

function resultOf(plan: Plan, run: RehearsalRun) {
  const { job, state, tallies, problem } = run;
  const played = tallies[0]?.panels ?? 0;
  return {
    state,
    problem,
    outdated: planHash(job.plan) !== planHash(plan),
    played,
    panels: job.panels,
    // The rows are worded with the plan that was rehearsed, not with the one that it became.
    rows: played === 0 ? [] : tallies.map((tally) => rehearsalRow(job.plan, tally)),
    sureness: played === 0 ? null : surenessWords(tallies),
  };
}
