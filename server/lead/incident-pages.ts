import type { FastifyReply, FastifyRequest } from "fastify";
import {
  effects,
  type IncidentKind,
  incidentKinds,
  mayRecord,
} from "../../src/experiment/incident.ts";
import { leadIn } from "../access.ts";
import type { Deps } from "../deps.ts";
import { errorSummary, type FieldErrors, type RawForm } from "../form.ts";
import { listLeads } from "../store/colleagues.ts";
import type { Session } from "../store/sessions.ts";
import type { Prepared } from "./incident-preparation.ts";
import { incidentFields, incidentNames, keptValues } from "./incidents-forms.ts";

/** An incident on its way: what kind, in which session. */
export interface Incident {
  session: Session;
  kind: IncidentKind;
}

/** The incidents that can be recorded now, as the room's buttons, each with what it is for. */
export function incidentButtons({
  id,
  state,
  pausedAt,
}: Session): { kind: IncidentKind; href: string; label: string; purpose: string }[] {
  const paused = pausedAt !== null;
  return incidentKinds
    .filter((kind) => mayRecord(kind, { state, paused }))
    .map((kind) => ({
      kind,
      href: `/lead/sessions/${id}/incidents/${kind}`,
      label: incidentNames[kind].button,
      purpose: incidentNames[kind].purpose,
    }));
}

/** The form, with the effect on the analysis above it. */
export async function showForm(
  deps: Deps,
  request: FastifyRequest,
  reply: FastifyReply,
  { session, kind }: Incident,
  filling: { values: RawForm; errors: FieldErrors },
): Promise<FastifyReply> {
  const self = leadIn(request).id;
  const others = (await listLeads(deps.store)).filter(({ id }) => id !== self);
  const windowMinutes = session.sealed?.plan.serving?.windowMinutes ?? null;
  const fields = incidentFields(kind, { others, windowMinutes }, filling);
  const { kind: whole, ...byField } = filling.errors;
  return reply.page("lead/incident", {
    ...headFields(session, kind),
    problem: whole ?? null,
    asks: fields.length > 0,
    errors: errorSummary(byField),
    fields,
  });
}

/** What recording will do here, and to the analysis. */
export function showConfirmation(
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
