import type { FastifyReply } from "fastify";
import { planHash } from "../../src/design/seal.ts";
import { type Deps, now } from "../deps.ts";
import { errorSummary, type FieldErrors, fieldMaker, type RawForm } from "../form.ts";
import type { PageFields } from "../page.ts";
import type { Draft, Experiment } from "../store/experiments.ts";
import { listSessions, type Session } from "../store/sessions.ts";
import { newDraft } from "./new-plan.ts";
import { outlookInWords } from "./outlook-words.ts";
import { planFields } from "./plan-fields.ts";
import { type PlanReading, readPlan } from "./plan-form.ts";
import { planInWords } from "./plan-words.ts";
import { sessionLine } from "./session-words.ts";

/** What just happened to an experiment, and what was typed for a further session. */
export interface Occasion {
  saved?: boolean;
  /** Somebody else saved while this was typed; nothing has been stored. */
  overtaken?: boolean;
  /** A session was to be sealed, and the plan has gaps. */
  sealing?: boolean;
  sessionForm?: { values: RawForm; errors: FieldErrors };
}

/** The empty plan form with what most plans start from, or with what the address brings along. */
export function showNewPlan(reply: FastifyReply, brought: Draft): FastifyReply {
  return reply.page("lead/plan", {
    ...planFields({ ...newDraft, ...brought }, {}),
    title: "New experiment",
    experimentId: null,
    version: "",
    errors: [],
    saved: false,
    overtaken: false,
    sealing: false,
    outlook: null,
    sessions: [],
    setUp: null,
  });
}

/** After saving: a complete plan goes to its page, a draft comes back with its points to mend. */
export async function answerSaved(
  deps: Deps,
  reply: FastifyReply,
  experiment: Experiment,
): Promise<FastifyReply> {
  if (!readPlan(experiment.draft).ok) {
    return await showExperiment(deps, reply, experiment, { saved: true });
  }
  return await reply.redirect(`/lead/experiments/${experiment.id}?saved=yes`, 303);
}

/** An experiment's page: the plan form, or once a session is sealed the plan read back. */
export async function showExperiment(
  deps: Deps,
  reply: FastifyReply,
  experiment: Experiment,
  occasion: Occasion,
): Promise<FastifyReply> {
  const sessions = await listSessions(deps.store, experiment.id);
  const common = {
    experimentId: experiment.id,
    title: experiment.title,
    sessions: sessions.map(sessionLine),
    setUp: setUpFields(deps, sessions, occasion),
  };
  const sealed = sessions.find((session) => session.sealed !== null)?.sealed;
  if (sealed) {
    return reply.page("lead/experiment", {
      ...common,
      errors: errorSummary(occasion.sessionForm?.errors ?? {}),
      words: planInWords(sealed.plan),
      planHash: planHash(sealed.plan),
      outlook: outlookInWords(sealed.plan),
    });
  }
  return showDraft(reply, experiment, occasion, common);
}

function showDraft(
  reply: FastifyReply,
  experiment: Experiment,
  occasion: Occasion,
  common: PageFields,
): FastifyReply {
  const reading = readPlan(experiment.draft);
  const planErrors = reading.ok ? {} : reading.errors;
  if (!reading.ok && occasion.saved) reply.code(422);
  if (occasion.overtaken || occasion.sealing) reply.code(409);
  return reply.page("lead/plan", {
    ...common,
    ...planFields(experiment.draft, planErrors),
    version: experiment.updatedAt,
    errors: errorSummary({ ...planErrors, ...occasion.sessionForm?.errors }),
    saved: occasion.saved ?? false,
    overtaken: occasion.overtaken ?? false,
    sealing: occasion.sealing ?? false,
    outlook: reading.ok ? outlookInWords(reading.plan) : null,
    setUp: reading.ok ? common.setUp : null,
  });
}

function setUpFields(deps: Deps, sessions: readonly Session[], occasion: Occasion) {
  const { values, errors } = occasion.sessionForm ?? {
    values: { sessionName: `Session ${sessions.length + 1}`, heldOn: now(deps).slice(0, 10) },
    errors: {},
  };
  const field = fieldMaker(values, errors);
  return {
    name: field("sessionName", "Name of the session", {
      hint: "Tasters see it on paper: let it say nothing about the treatments.",
    }),
    heldOn: field("heldOn", "Date", { type: "date" }),
  };
}

/** The plan that a further session of an experiment is sealed under. */
export async function planToSeal(
  deps: Pick<Deps, "store">,
  experiment: Experiment,
): Promise<PlanReading> {
  const sessions = await listSessions(deps.store, experiment.id);
  const sealed = sessions.find((session) => session.sealed !== null)?.sealed;
  return sealed ? { ok: true, plan: sealed.plan } : readPlan(experiment.draft);
}

/** What the treatments of an experiment are called, as sealed or else as drafted so far. */
export async function treatmentNames(
  deps: Pick<Deps, "store">,
  experiment: Experiment,
): Promise<string[]> {
  const sessions = await listSessions(deps.store, experiment.id);
  const sealed = sessions.find((session) => session.sealed !== null)?.sealed;
  const names = sealed
    ? [sealed.plan.treatments.A.name, sealed.plan.treatments.B.name]
    : [experiment.draft["treatments.A.name"], experiment.draft["treatments.B.name"]];
  return names.filter((name) => name !== undefined).filter((name) => name.trim() !== "");
}
