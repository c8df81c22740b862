import type { FastifyPluginAsync, FastifyReply, FastifyRequest } from "fastify";
import { planHash } from "../../src/design/seal.ts";
import type { AmendmentRefusal } from "../../src/experiment/amendment.ts";
import type { Plan } from "../../src/experiment/plan.ts";
import { leadIn } from "../access.ts";
import { type AmendingOutcome, amend, amendmentOf } from "../amending.ts";
import type { Deps } from "../deps.ts";
import { notFound, type PublicRefusal, sendRefusal } from "../errors.ts";
import {
  errorSummary,
  type FieldErrors,
  fieldMaker,
  formOf,
  type RawForm,
  textOf,
} from "../form.ts";
import type { Draft } from "../store/experiments.ts";
import { type SealedPart, type Session, sessionById } from "../store/sessions.ts";
import { planFields } from "./plan-fields.ts";
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

interface At {
  session: Session;
  sealed: SealedPart;
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

const notSealed: PublicRefusal = {
  status: 409,
  headline: "This plan isn’t sealed yet",
  advice: "Nothing needs amending: change the plan on the experiment’s page, then seal it.",
};
const tooLate: PublicRefusal = {
  status: 409,
  headline: "This plan can’t be amended any more",
  advice:
    "The session has opened, so answers may have come. Plan another session, or say in the report what went otherwise.",
};

const MOST_REASON = 300;

function reasonErrors(reason: string): FieldErrors {
  if (reason === "") return { amendmentReason: "Say why; the report shows it" };
  return reason.length > MOST_REASON
    ? { amendmentReason: `Keep it under ${MOST_REASON} characters` }
    : {};
}

interface Typed {
  draft: Draft;
  /** Hash of the plan that the form was filled from. */
  from: string;
  errors?: FieldErrors;
  problem?: string;
}

function showForm(reply: FastifyReply, { session }: At, typed: Typed): FastifyReply {
  const { draft, from, errors = {}, problem = null } = typed;
  const values: RawForm = draft;
  return reply.page("lead/amendment", {
    ...planFields(draft, errors),
    title: `Amend the plan of ${session.name}`,
    session,
    from,
    problem,
    errors: errorSummary(errors),
    reason: fieldMaker(values, errors)("amendmentReason", "Why it is amended", {
      type: "long",
      hint: "The report shows this with the time and every change. Name no taster.",
    }),
  });
}

interface Ready extends Typed {
  plan: Plan;
  reason: string;
}

async function review(
  deps: Deps,
  reply: FastifyReply,
  at: At,
  ready: Ready,
): Promise<FastifyReply> {
  const outcome = await amendmentOf(deps.store, at.session, at.sealed.plan, ready.plan);
  if (!outcome.ok) return refuse(reply, at, ready, outcome.refusal);
  const kept = { ...draftOf(ready.plan), amendmentReason: ready.reason };
  return reply.page("lead/amendment-review", {
    title: `Amend the plan of ${at.session.name}`,
    session: at.session,
    from: ready.from,
    reason: ready.reason,
    changes: outcome.changes,
    drawnAnew: outcome.kit === "drawn-anew",
    kept: Object.entries(kept).map(([name, value]) => ({ name, value })),
    planHash: planHash(ready.plan),
  });
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

type Refusal = Exclude<Extract<AmendingOutcome, { ok: false }>["refusal"], "cannot-serve">;

/** A refusal above the form, which keeps what was typed. */
function refuse(reply: FastifyReply, at: At, ready: Ready, refusal: Refusal): FastifyReply {
  reply.code(409);
  const from = refusal === "overtaken" ? at.sealed.planHash : ready.from;
  return showForm(reply, at, { ...ready, from, problem: problems[refusal] });
}

const problems: Record<AmendmentRefusal | "no-session" | "overtaken", string> = {
  "no-session": "There is no such session any more.",
  "not-sealed": notSealed.advice,
  "too-late": tooLate.advice,
  overtaken:
    "Somebody amended this plan while you were writing. What you typed is below; compare it with the session’s plan before you go on.",
  "plan-shared":
    "Other sessions of this experiment are sealed under the same plan, and they must stay comparable. Copy the experiment to plan something else.",
  "nothing-changed": "Nothing has been changed yet.",
  "consent-given":
    "Somebody has sat down and agreed to what the consent text said: substances, cup size, serving temperature and the added text stay as they are.",
  "kit-in-use":
    "This change needs other cups, and the kit is in use: somebody has sat down, a pot is logged or an incident is recorded. Only changes that leave cups, codes and pots alone are possible now.",
};
