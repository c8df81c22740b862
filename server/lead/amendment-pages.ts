import type { FastifyReply } from "fastify";
import { planHash } from "../../src/design/seal.ts";
import type { AmendmentRefusal } from "../../src/experiment/amendment.ts";
import type { Plan } from "../../src/experiment/plan.ts";
import { type AmendingOutcome, amendmentOf } from "../amending.ts";
import type { Deps } from "../deps.ts";
import type { PublicRefusal } from "../errors.ts";
import { errorSummary, type FieldErrors, fieldMaker, type RawForm } from "../form.ts";
import type { Draft } from "../store/experiments.ts";
import type { SealedPart, Session } from "../store/sessions.ts";
import { planFields } from "./plan-fields.ts";
import { draftOf } from "./plan-form.ts";

/** A session whose plan is to be amended. */
export interface At {
  session: Session;
  sealed: SealedPart;
}

export interface Typed {
  draft: Draft;
  /** Hash of the plan that the form was filled from. */
  from: string;
  errors?: FieldErrors;
  problem?: string;
}

/** The plan form of a sealed plan, as it stands or as it was typed, with what is wrong. */
export function showForm(reply: FastifyReply, { session }: At, typed: Typed): FastifyReply {
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

export interface Ready extends Typed {
  plan: Plan;
  reason: string;
}

/** What an amendment changes, to be read before it is sealed. */
export async function review(
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

type Refusal = Exclude<Extract<AmendingOutcome, { ok: false }>["refusal"], "cannot-serve">;

/** A refusal above the form, which keeps what was typed. */
export function refuse(reply: FastifyReply, at: At, ready: Ready, refusal: Refusal): FastifyReply {
  reply.code(409);
  const from = refusal === "overtaken" ? at.sealed.planHash : ready.from;
  return showForm(reply, at, { ...ready, from, problem: problems[refusal] });
}

export const notSealed: PublicRefusal = {
  status: 409,
  headline: "This plan isn’t sealed yet",
  advice: "Nothing needs amending: change the plan on the experiment’s page, then seal it.",
};
export const tooLate: PublicRefusal = {
  status: 409,
  headline: "This plan can’t be amended any more",
  advice:
    "The session has opened, so answers may have come. Plan another session, or say in the report what went otherwise.",
};

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
    "Somebody has sat down and agreed to what the consent text said: substances, allergens, cup size, serving temperature and the added text stay as they are.",
  "kit-in-use":
    "This change needs other cups, and the kit is in use: somebody has sat down, a pot is logged or an incident is recorded. Only changes that leave cups, codes and pots alone are possible now.",
};
