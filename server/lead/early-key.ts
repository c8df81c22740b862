import type { FastifyPluginAsync, FastifyReply } from "fastify";
import { z } from "zod";
import { leadIn } from "../access.ts";
import { type Deps, now } from "../deps.ts";
import { notFound, type PublicRefusal, sendRefusal } from "../errors.ts";
import {
  errorSummary,
  errorsByField,
  type FieldErrors,
  fieldMaker,
  formOf,
  type RawForm,
} from "../form.ts";
import type { Store } from "../store/database.ts";
import { appendEvent, eventsOf } from "../store/events.ts";
import { type Session, sessionById } from "../store/sessions.ts";

type SessionRoute = { Params: { sessionId: string } };

const reasonSchema = z.object({
  reason: z
    .string()
    .trim()
    .min(10, "Say why in a few words: the report will show it")
    .max(300, "Keep it under 300 characters"),
});

/** Opening the key before its time, for a reason that the report repeats. */
export function earlyKey(deps: Deps): FastifyPluginAsync {
  return async (app) => {
    const config = { access: "lead" as const };
    const path = "/lead/sessions/:sessionId/early-key";
    app.get<SessionRoute>(path, { config }, async (request, reply) => {
      const session = await sessionById(deps.store, request.params.sessionId);
      if (session === undefined) return sendRefusal(request, reply, notFound);
      const refusal = refusalOf(session);
      if (refusal !== null) return sendRefusal(request, reply, refusal);
      return showForm(reply, session, {}, {});
    });
    app.post<SessionRoute>(
      path,
      { config, preHandler: app.csrfProtection },
      async (request, reply) => {
        const session = await sessionById(deps.store, request.params.sessionId);
        if (session === undefined) return sendRefusal(request, reply, notFound);
        const refusal = refusalOf(session);
        if (refusal !== null) return sendRefusal(request, reply, refusal);
        const form = formOf(request.body);
        const parsed = reasonSchema.safeParse(form);
        if (!parsed.success) {
          reply.code(422);
          return showForm(reply, session, form, errorsByField(parsed.error));
        }
        const actor = `lead:${leadIn(request).id}`;
        const tooLate = await noteOpening(deps, session.id, actor, parsed.data.reason);
        if (tooLate !== null) return sendRefusal(request, reply, tooLate);
        return reply.redirect(`/lead/sessions/${session.id}/key`, 303);
      },
    );
  };
}

/** When and why a session's key was opened before closing. */
export async function openedEarly(
  db: Store,
  sessionId: string,
): Promise<{ at: string; reason: string }[]> {
  const events = await eventsOf(db, sessionId);
  return events
    .filter(({ kind }) => kind === "key-opened-early")
    .map(({ at, body }) => ({ at, reason: typeof body.reason === "string" ? body.reason : "" }));
}

function refusalOf({ state }: Session): PublicRefusal | null {
  if (state === "sealed" || state === "open") return null;
  const headline =
    state === "draft"
      ? "There is no key yet: the session isn’t sealed"
      : "This session is closed; its key opens without a reason";
  return { status: 409, headline, advice: "Go back to the session’s page for the next step." };
}

/** Notes the opening, or says why the key doesn't open this way any more. */
async function noteOpening(
  deps: Deps,
  sessionId: string,
  actor: string,
  reason: string,
): Promise<PublicRefusal | null> {
  return await deps.store.transaction().execute(async (trx) => {
    const session = await sessionById(trx, sessionId);
    const refusal = session === undefined ? notFound : refusalOf(session);
    if (refusal !== null) return refusal;
    const body = { reason };
    await appendEvent(trx, sessionId, { at: now(deps), actor, kind: "key-opened-early", body });
    return null;
  });
}

function showForm(
  reply: FastifyReply,
  { id, name }: Session,
  values: RawForm,
  errors: FieldErrors,
): FastifyReply {
  const field = fieldMaker(values, errors);
  return reply.page("lead/early-key", {
    title: "Open the key early",
    id,
    name,
    errors: errorSummary(errors),
    reason: field("reason", "Reason", {
      type: "long",
      hint: "For example: a taster reacted to a cup and must know what was in it. No names.",
    }),
  });
}
