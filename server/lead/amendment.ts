import type { FastifyPluginAsync, FastifyReply, FastifyRequest } from "fastify";
import { leadIn } from "../access.ts";
import { amend } from "../amending.ts";
import type { Deps } from "../deps.ts";
import { notFound, sendRefusal } from "../errors.ts";
import { type FieldErrors, formOf, textOf } from "../form.ts";
import { sessionById } from "../store/sessions.ts";
import {
  type At,
  notSealed,
  type Ready,
  refuse,
  review,
  showForm,
  tooLate,
} from "./amendment-pages.ts";
import { draftFrom, draftOf, readPlan } from "./plan-form.ts";

type SessionRoute = { Params: { sessionId: string } };

/** Amending a sealed plan before the session opens: the form, what it changes, and the amendment. */
export function amendment(deps: Deps): FastifyPluginAsync {
  return async (app) => {
    const config = { access: "lead" as const };
    const path = "/lead/sessions/:sessionId/amendment";
    app.get<SessionRoute>(path, { config }, (request, reply) =>
      withSealed(deps, request, reply, async (at) =>
        showForm(reply, at, { draft: draftOf(at.sealed.plan), from: at.sealed.planHash }),
      ),
    );
    app.post<SessionRoute>(path, { config, preHandler: app.csrfProtection }, (request, reply) =>
      withSealed(deps, request, reply, async (at) => {
        const form = formOf(request.body);
        const typed = { draft: draftFrom(form), from: textOf(form, "fromPlanHash") };
        const reading = readPlan(typed.draft);
        const reason = textOf(form, "amendmentReason").trim();
        const errors = { ...(reading.ok ? {} : reading.errors), ...reasonErrors(reason) };
        if (!reading.ok || Object.keys(errors).length > 0) {
          reply.code(422);
          return showForm(reply, at, { ...typed, errors });
        }
        const ready = { ...typed, plan: reading.plan, reason };
        switch (textOf(form, "step")) {
          case "seal":
            return await sealAmendment(deps, request, reply, at, ready);
          case "edit":
            return showForm(reply, at, typed);
          default:
            return await review(deps, reply, at, ready);
        }
      }),
    );
  };
}

async function withSealed(
  deps: Deps,
  request: FastifyRequest<SessionRoute>,
  reply: FastifyReply,
  goOn: (at: At) => Promise<FastifyReply>,
): Promise<FastifyReply> {
  const session = await sessionById(deps.store, request.params.sessionId);
  if (session === undefined) return sendRefusal(request, reply, notFound);
  if (session.sealed === null) return sendRefusal(request, reply, notSealed);
  if (session.state !== "sealed") return sendRefusal(request, reply, tooLate);
  return await goOn({ session, sealed: session.sealed });
}

const MOST_REASON = 300;

function reasonErrors(reason: string): FieldErrors {
  if (reason === "") return { amendmentReason: "Say why; the report shows it" };
  return reason.length > MOST_REASON
    ? { amendmentReason: `Keep it under ${MOST_REASON} characters` }
    : {};
}

async function sealAmendment(
  deps: Deps,
  request: FastifyRequest,
  reply: FastifyReply,
  at: At,
  ready: Ready,
): Promise<FastifyReply> {
  const { plan, reason, from: fromPlanHash } = ready;
  const { id: sessionId } = at.session;
  const actor = `lead:${leadIn(request).id}`;
  const outcome = await amend(deps, { sessionId, plan, fromPlanHash, reason, actor });
  if (outcome.ok) {
    deps.live.changed(sessionId);
    return await reply.redirect(`/lead/sessions/${sessionId}`, 303);
  }
  if (outcome.refusal === "cannot-serve") {
    reply.code(422);
    const problem = `These cups can’t be coded: ${outcome.message}.`;
    return showForm(reply, at, { ...ready, problem });
  }
  return refuse(reply, at, ready, outcome.refusal);
}
