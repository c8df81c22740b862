import { createHash } from "node:crypto";
import type { FastifyPluginAsync, FastifyReply, FastifyRequest } from "fastify";
import { z } from "zod";
import type { CellProblem } from "../../src/experiment/brew-import.ts";
import type { Plan } from "../../src/experiment/plan.ts";
import { panelColumns } from "../../src/report/panel-columns.ts";
import { type Panel, readPanel } from "../../src/report/panel-import.ts";
import { leadIn } from "../access.ts";
import { type Deps, newToken, now } from "../deps.ts";
import { notFound, sendRefusal } from "../errors.ts";
import { errorsByField, type FieldErrors, formOf, textOf } from "../form.ts";
import { freeCode } from "../sealing.ts";
import { type Experiment, experimentById } from "../store/experiments.ts";
import { addImportedSession } from "../store/imported-panels.ts";
import { takeUploads } from "../uploads.ts";
import { planToSeal, showExperiment } from "./experiment-page.ts";
import { type PanelImportView, showPanelImport } from "./import-panel-page.ts";
import { readCells, uploadedText } from "./sheet-cells.ts";

type ExperimentRoute = { Params: { experimentId: string } };

/**
 * Import of an outside panel's answers: what is wrong by cell, or what would be analysed; then, on a
 * second yes, a session of its own that says everywhere that it was not blinded here.
 */
export function importPanel(deps: Deps): FastifyPluginAsync {
  return async (app) => {
    await takeUploads(app);
    const config = { access: "lead" as const };
    const path = "/lead/experiments/:experimentId/import";
    app.get<ExperimentRoute>(path, { config }, (request, reply) =>
      withPlan(deps, request, reply, async (experiment, plan) =>
        showPanelImport(reply, experiment, plan, emptyView),
      ),
    );
    app.post<ExperimentRoute>(path, { config, preHandler: app.csrfProtection }, (request, reply) =>
      withPlan(deps, request, reply, (experiment, plan) =>
        answerImport(deps, request, reply, { experiment, plan }),
      ),
    );
  };
}

const emptyView: PanelImportView = {
  values: { sessionName: "Outside panel" },
  errors: {},
  text: "",
  problems: [],
  preview: null,
};

/** Goes on with an experiment and its complete plan; otherwise says what is in the way. */
async function withPlan(
  deps: Deps,
  request: FastifyRequest<ExperimentRoute>,
  reply: FastifyReply,
  goOn: (experiment: Experiment, plan: Plan) => Promise<FastifyReply>,
): Promise<FastifyReply> {
  const experiment = await experimentById(deps.store, request.params.experimentId);
  if (experiment === undefined) return sendRefusal(request, reply, notFound);
  const reading = await planToSeal(deps, experiment);
  if (!reading.ok) return await showExperiment(deps, reply, experiment, { sealing: true });
  return await goOn(experiment, reading.plan);
}

const sessionSchema = z.object({
  sessionName: z
    .string()
    .trim()
    .min(1, "Name the session, for example Outside panel, March")
    .max(80, "Keep it under 80 characters"),
  heldOn: z.union([
    z.literal(""),
    z.iso.date("Give the date as year-month-day, or leave it empty"),
  ]),
});

/** What a form field may hold; a longer file is better split by coffee. */
const MOST_CHARACTERS = 900_000;

const noPanel =
  "These are no answers: the first row must name the columns. They stand below, with an example";

async function answerImport(
  deps: Deps,
  request: FastifyRequest,
  reply: FastifyReply,
  { experiment, plan }: { experiment: Experiment; plan: Plan },
): Promise<FastifyReply> {
  const form = formOf(request.body);
  const text = uploadedText(form) || textOf(form, "sheet");
  const read = readFile(text, plan, now(deps));
  const session = sessionSchema.safeParse(form);
  const errors: FieldErrors = session.success ? {} : errorsByField(session.error);
  const view = { values: form, errors, text: text.length > MOST_CHARACTERS ? "" : text };
  if (!read.ok || !session.success) {
    reply.code(422);
    const problems = read.ok ? [] : read.problems;
    return showPanelImport(reply, experiment, plan, { ...view, problems, preview: null });
  }
  if (textOf(form, "act") !== "store") {
    const preview = { panel: read.panel, rows: read.rows };
    return showPanelImport(reply, experiment, plan, { ...view, problems: [], preview });
  }
  const sessionId = await store(deps, leadIn(request).id, {
    ...session.data,
    experimentId: experiment.id,
    plan,
    panel: read.panel,
    text,
  });
  if (sessionId === null) return sendRefusal(request, reply, notFound);
  return await reply.redirect(`/lead/sessions/${sessionId}`, 303);
}

function readFile(text: string, plan: Plan, at: string) {
  if (text.length > MOST_CHARACTERS) return tooLong();
  const cells = readCells(text, Object.keys(panelColumns), noPanel);
  return cells.ok ? readPanel(cells.cells, plan, at) : cells;
}

function tooLong(): { ok: false; problems: CellProblem[] } {
  const message = `The file has more than ${MOST_CHARACTERS / 1000} thousand characters; import it in parts`;
  return { ok: false, problems: [{ row: 1, column: "", message }] };
}

interface ToStore {
  sessionName: string;
  heldOn: string;
  experimentId: string;
  plan: Plan;
  panel: Panel;
  text: string;
}

/** Stores the panel as a session and answers its id; null where the experiment was discarded meanwhile. */
async function store(deps: Deps, leadId: string, wish: ToStore): Promise<string | null> {
  const sessionId = newToken(deps);
  return await deps.store.transaction().execute(async (trx) => {
    if ((await experimentById(trx, wish.experimentId)) === undefined) return null;
    await addImportedSession(trx, {
      sessionId,
      experimentId: wish.experimentId,
      name: wish.sessionName,
      heldOn: wish.heldOn === "" ? null : wish.heldOn,
      plan: wish.plan,
      panel: wish.panel,
      joinCode: await freeCode(deps, trx),
      fileSha256: createHash("sha256").update(wish.text, "utf8").digest("hex"),
      actor: `lead:${leadId}`,
      at: now(deps),
    });
    return sessionId;
  });
}
