import type { FastifyPluginAsync, FastifyReply, FastifyRequest } from "fastify";
import {
  effects,
  type IncidentKind,
  incidentKindSchema,
  incidentKinds,
  mayRecord,
} from "../../src/experiment/incident.ts";
import { leadIn } from "../access.ts";
import { type Deps, newToken, now } from "../deps.ts";
import { notFound, type PublicRefusal, sendRefusal } from "../errors.ts";
import { errorSummary, type FieldErrors, formOf, type RawForm, textOf } from "../form.ts";
import { appendEvent } from "../store/events.ts";
import { listLeads } from "../store/leads.ts";
import { type Session, sessionById } from "../store/sessions.ts";
import type { Preparation, Prepared } from "./incident-preparation.ts";
import { prepareIncident } from "./incidents-acts.ts";
import { asksNothing, incidentFields, incidentNames, keptValues } from "./incidents-forms.ts";

type IncidentRoute = { Params: { sessionId: string; kind: string } };

/**
 * Incidents: a form, then a page that says what recording it does here and to the analysis, then the
 * act with its event in one transaction.
 */
export function incidents(deps: Deps): FastifyPluginAsync {
  return async (app) => {
    const config = { access: "lead" as const };
    const path = "/lead/sessions/:sessionId/incidents/:kind";
    app.get<IncidentRoute>(path, { config }, (request, reply) =>
      withIncident(deps, request, reply, async (incident) => {
        const values = formOf(request.query);
        if (!asksNothing(incident.kind)) {
          return await showForm(deps, request, reply, incident, { values, errors: {} });
        }
        const { session, kind } = incident;
        const room = { db: deps.store, session, leadId: leadIn(request).id };
        const outcome = await prepareIncident(room, kind, {});
        if (outcome.ok) return showConfirmation(reply, incident, {}, outcome);
        return await showForm(deps, request, reply, incident, { values, errors: outcome.errors });
      }),
    );
    app.post<IncidentRoute>(path, { config, preHandler: app.csrfProtection }, (request, reply) =>
      withIncident(deps, request, reply, async (incident) => {
        const values = formOf(request.body);
        const step = textOf(values, "step");
        if (step === "change") {
          return await showForm(deps, request, reply, incident, { values, errors: {} });
        }
        const leadId = leadIn(request).id;
        const outcome =
          step === "record"
            ? await record(deps, leadId, incident, values)
            : await prepareIncident(
                { db: deps.store, session: incident.session, leadId },
                incident.kind,
                values,
              );
        if (!outcome.ok) {
          reply.code(422);
          return await showForm(deps, request, reply, incident, { values, errors: outcome.errors });
        }
        if (step !== "record") return showConfirmation(reply, incident, values, outcome);
        deps.live.changed(incident.session.id);
        return reply.redirect(`/lead/sessions/${incident.session.id}/room?recorded=yes`, 303);
      }),
    );
  };
}

/** The incidents that can be recorded now, as the room's buttons. */
export function incidentButtons({
  id,
  state,
  pausedAt,
}: Session): { href: string; label: string }[] {
  const paused = pausedAt !== null;
  return incidentKinds
    .filter((kind) => mayRecord(kind, { state, paused }))
    .map((kind) => ({
      href: `/lead/sessions/${id}/incidents/${kind}`,
      label: incidentNames[kind].button,
    }));
}

interface Incident {
  session: Session;
  kind: IncidentKind;
}

async function withIncident(
  deps: Deps,
  request: FastifyRequest<IncidentRoute>,
  reply: FastifyReply,
  goOn: (incident: Incident) => Promise<FastifyReply>,
): Promise<FastifyReply> {
  const kind = incidentKindSchema.safeParse(request.params.kind);
  const session = await sessionById(deps.store, request.params.sessionId);
  if (!kind.success || session === undefined || session.sealed === null) {
    return sendRefusal(request, reply, notFound);
  }
  const incident = { session, kind: kind.data };
  const { state, pausedAt } = session;
  if (!mayRecord(kind.data, { state, paused: pausedAt !== null })) {
    return sendRefusal(request, reply, tooLateOrEarly(incident));
  }
  return await goOn(incident);
}

function tooLateOrEarly({ session, kind }: Incident): PublicRefusal {
  if (session.state === "unblinded") {
    return {
      status: 409,
      headline: "The key is open, so nothing can be recorded any more",
      advice: "Whoever knows the key could choose what counts. Say it beside the report instead.",
    };
  }
  return {
    status: 409,
    headline: `“${incidentNames[kind].title}” can’t be recorded now`,
    advice:
      "Go back to the room: its buttons are those that make sense in the session’s present state.",
  };
}

/** Checks again and does it, together with the event or not at all. */
async function record(
  deps: Deps,
  leadId: string,
  { session, kind }: Incident,
  values: RawForm,
): Promise<Preparation> {
  return await deps.store.transaction().execute(async (trx) => {
    const present = (await sessionById(trx, session.id)) ?? session;
    const prepared = await prepareIncident({ db: trx, session: present, leadId }, kind, values);
    if (!prepared.ok) return prepared;
    const at = now(deps);
    const body = await prepared.record(trx, { at, newId: () => newToken(deps) });
    await appendEvent(trx, session.id, {
      at,
      actor: `lead:${leadId}`,
      kind: `incident-${kind}`,
      body,
    });
    return prepared;
  });
}

async function showForm(
  deps: Deps,
  request: FastifyRequest,
  reply: FastifyReply,
  { session, kind }: Incident,
  filling: { values: RawForm; errors: FieldErrors },
): Promise<FastifyReply> {
  const self = leadIn(request).id;
  const others = (await listLeads(deps.store)).filter(({ id }) => id !== self);
  const fields = incidentFields(kind, others, filling);
  const { kind: whole, ...byField } = filling.errors;
  return reply.page("lead/incident", {
    ...headFields(session, kind),
    problem: whole ?? null,
    asks: fields.length > 0,
    errors: errorSummary(byField),
    fields,
  });
}

function showConfirmation(
  reply: FastifyReply,
  { session, kind }: Incident,
  values: RawForm,
  { says }: Prepared,
): FastifyReply {
  return reply.page("lead/incident-confirm", {
    ...headFields(session, kind),
    says,
    kept: keptValues(kind, values),
  });
}

function headFields({ id, name }: Session, kind: IncidentKind) {
  const { title } = incidentNames[kind];
  return { title, id, name, kind, effect: effects[kind] };
}
