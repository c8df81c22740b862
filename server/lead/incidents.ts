import type { FastifyPluginAsync, FastifyReply, FastifyRequest } from "fastify";
import { incidentKindSchema, mayRecord } from "../../src/experiment/incident.ts";
import { leadIn } from "../access.ts";
import { type Deps, newToken, now } from "../deps.ts";
import { notFound, type PublicRefusal, sendRefusal } from "../errors.ts";
import { formOf, type RawForm, textOf } from "../form.ts";
import { appendEvent } from "../store/events.ts";
import { sessionById } from "../store/sessions.ts";
import { type Incident, showConfirmation, showForm } from "./incident-pages.ts";
import type { Preparation } from "./incident-preparation.ts";
import { prepareIncident } from "./incidents-acts.ts";
import { asksNothing, incidentNames } from "./incidents-forms.ts";

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
