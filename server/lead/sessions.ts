import type { FastifyPluginAsync } from "fastify";
import { z } from "zod";
import { leadIn } from "../access.ts";
import { type Deps, newToken, now } from "../deps.ts";
import { notFound, sendRefusal } from "../errors.ts";
import { errorsByField, type FieldErrors, formOf, type RawForm } from "../form.ts";
import { joinLink } from "../join-code.ts";
import { qrDrawing } from "../qr.ts";
import { brewLog } from "../store/brews.ts";
import { appendEvent } from "../store/events.ts";
import { experimentById } from "../store/experiments.ts";
import { progressOf } from "../store/progress.ts";
import { addSession, type Session, sessionById } from "../store/sessions.ts";
import { openedEarly } from "./early-key.ts";
import { showExperiment, treatmentNames } from "./experiment-page.ts";
import { nextAct, pagesOf } from "./next-act.ts";
import { progressText } from "./room-view.ts";
import { stateInWords } from "./session-words.ts";

const sessionSchema = z.object({
  sessionName: z
    .string()
    .trim()
    .min(1, "Name the session, for example Tuesday morning")
    .max(80, "Keep it under 80 characters"),
  heldOn: z.union([
    z.literal(""),
    z.iso.date("Give the date as year-month-day, or leave it empty"),
  ]),
});

/** Sessions of an experiment: setting one up, and its own page. */
export function sessions(deps: Deps): FastifyPluginAsync {
  return async (app) => {
    const config = { access: "lead" as const };
    app.post<{ Params: { experimentId: string } }>(
      "/lead/experiments/:experimentId/sessions",
      { config, preHandler: app.csrfProtection },
      async (request, reply) => {
        const experiment = await experimentById(deps.store, request.params.experimentId);
        if (experiment === undefined) return sendRefusal(request, reply, notFound);
        const values = formOf(request.body);
        const read = readSession(values, await treatmentNames(deps, experiment));
        if (!read.ok) {
          reply.code(422);
          const sessionForm = { values, errors: read.errors };
          return await showExperiment(deps, reply, experiment, { sessionForm });
        }
        const id = await setUp(deps, leadIn(request).id, experiment.id, read.form);
        if (id === null) return sendRefusal(request, reply, notFound);
        return reply.redirect(`/lead/sessions/${id}/seal`, 303);
      },
    );
    app.get<{ Params: { sessionId: string } }>(
      "/lead/sessions/:sessionId",
      { config },
      async (request, reply) => {
        const session = await sessionById(deps.store, request.params.sessionId);
        if (session === undefined) return sendRefusal(request, reply, notFound);
        return reply.page("lead/session", {
          title: session.name,
          ...(await sessionFields(deps, session)),
        });
      },
    );
  };
}

type Read = { ok: true; form: z.infer<typeof sessionSchema> } | { ok: false; errors: FieldErrors };

/** Tasters see a session's name on their papers, so it names no treatment. */
function readSession(values: RawForm, treatments: readonly string[]): Read {
  const parsed = sessionSchema.safeParse(values);
  if (!parsed.success) return { ok: false, errors: errorsByField(parsed.error) };
  const name = ` ${bareWords(parsed.data.sessionName)} `;
  const named = treatments.find((treatment) => name.includes(` ${bareWords(treatment)} `));
  if (named === undefined) return { ok: true, form: parsed.data };
  const sessionName = `Tasters see this name on paper: leave “${named}” out of it`;
  return { ok: false, errors: { sessionName } };
}

function bareWords(text: string): string {
  const words =
    text
      .normalize("NFKC")
      .toLowerCase()
      .match(/[\p{L}\p{N}]+/gu) ?? [];
  return words.join(" ");
}

/** Sets a session up and answers its id; null where the experiment was discarded in the meantime. */
async function setUp(
  deps: Deps,
  leadId: string,
  experimentId: string,
  form: z.infer<typeof sessionSchema>,
): Promise<string | null> {
  const id = newToken(deps);
  const at = now(deps);
  const heldOn = form.heldOn === "" ? null : form.heldOn;
  return await deps.store.transaction().execute(async (trx) => {
    if ((await experimentById(trx, experimentId)) === undefined) return null;
    await addSession(trx, { id, experimentId, name: form.sessionName, heldOn, at });
    const body = { experimentId, heldOn };
    await appendEvent(trx, id, { at, actor: `lead:${leadId}`, kind: "set-up", body });
    return id;
  });
}

/** What phones join by: the code to type, and the address, to scan or to open. */
function joinWith(deps: Deps, state: Session["state"], code: string) {
  const link = joinLink(deps, code);
  const hint =
    state === "sealed"
      ? "They can take a seat now; answers are taken once the session is open."
      : "Scan with a phone’s camera, or open the address.";
  return { code, link, qr: qrDrawing(link), hint };
}

async function sessionFields(deps: Deps, session: Session) {
  const experiment = await experimentById(deps.store, session.experimentId);
  const seats = await progressOf(deps.store, session.id);
  const pots = await brewLog(deps.store, session.id);
  const { sealed } = session;
  const underWay = session.state === "sealed" || session.state === "open";
  return {
    id: session.id,
    name: session.name,
    heldOn: session.heldOn,
    state: stateInWords(session),
    experimentId: session.experimentId,
    experimentTitle: experiment?.title ?? "",
    next: nextAct(session, pots.filter(({ brew }) => brew === null).length),
    pages: pagesOf(session),
    progress: seats.length === 0 ? null : progressText(seats),
    openedEarly: await openedEarly(deps.store, session.id),
    mayOpenEarly: underWay,
    mayDiscard: session.state === "draft",
    join: sealed && underWay ? joinWith(deps, session.state, sealed.joinCode) : null,
    sealed:
      sealed && session.origin === "run-here"
        ? { planHash: sealed.planHash, commitment: sealed.commitment }
        : null,
  };
}
