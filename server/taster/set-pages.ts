import type { FastifyReply } from "fastify";
import { readAnswers } from "../../src/experiment/ballot.ts";
import { type Deps, newToken } from "../deps.ts";
import { errorsByField, type FieldErrors, type RawForm, textOf } from "../form.ts";
import {
  type Questionnaire,
  questionnaire,
  type Serving,
  servingOf,
  servings,
} from "../store/blind.ts";
import { ballotForm, complaints, fieldId, type SetView, setView } from "./ballot-form.ts";
import { sendOutcome, sendPage, wantsJson } from "./pages.ts";
import { ballotExtrasSchema } from "./receive-ballot.ts";
import { reviewOf } from "./review.ts";
import { admissionNotice, tellVisit, type Visit } from "./visit.ts";

/** One set as a page of its own: empty, or filled in with what was typed and what is wrong with it. */
export async function showSet(
  deps: Deps,
  visit: Visit,
  filling: { values: RawForm; errors: FieldErrors },
): Promise<FastifyReply> {
  const set = await openSet(deps, visit);
  if (set === undefined) return visit.reply;
  const { reply, seat, language, ordinal } = visit;
  const t = language.messages;
  const key = textOf(filling.values, "key") || `${newToken(deps)}-${ordinal}`;
  const view = setView(t, set.asked, { serving: set.serving, sets: set.sets, key }, filling);
  const errors = summary(view, filling.errors);
  const title = errors.length > 0 ? `${t.mistake} ${view.heading}` : view.heading;
  return sendPage(reply, "set", { title, language, seat, set: view, errors });
}

/** The set once more before it is locked, or its form again with what is wrong. */
export async function showReview(deps: Deps, visit: Visit, fields: RawForm): Promise<FastifyReply> {
  const set = await openSet(deps, visit);
  if (set === undefined) return visit.reply;
  const extras = ballotExtrasSchema.safeParse(fields);
  if (!extras.success) return await mendExtras(deps, visit, fields, errorsByField(extras.error));
  const { reply, seat, language } = visit;
  const t = language.messages;
  const { serving, asked, sets } = set;
  const read = readAnswers(ballotForm(asked, serving), fields);
  if (!read.ok) return await showMend(deps, visit, fields, complaints(t, read.issues));
  const { key, comment } = extras.data;
  const view = setView(t, asked, { serving, sets, key }, { values: {}, errors: {} });
  const review = reviewOf(t, asked, serving, { answers: read.answers, fields });
  const title = view.reviewHeading;
  return sendPage(reply, "review", { title, language, seat, set: view, review, comment });
}

/** What is wrong with a ballot, at its fields or for the script in words. */
export async function showMend(
  deps: Deps,
  visit: Visit,
  values: RawForm,
  errors: FieldErrors,
): Promise<FastifyReply> {
  const { request, reply } = visit;
  reply.code(422);
  if (!wantsJson(request)) return await showSet(deps, visit, { values, errors });
  return sendOutcome(reply, "mend", Object.values(errors).join(". "));
}

/** A comment that is too long is mended at its place; without the page's own key the page is stale. */
export async function mendExtras(
  deps: Deps,
  visit: Visit,
  fields: RawForm,
  errors: FieldErrors,
): Promise<FastifyReply> {
  if (errors.key !== undefined) return tellVisit(visit, 400, "expired");
  const { commentLong } = visit.language.messages;
  return await showMend(deps, visit, fields, { comment: commentLong });
}

interface OpenSet {
  serving: Serving;
  asked: Questionnaire;
  sets: number;
}

/** The set when it can be answered now; otherwise the taster has been told why not. */
async function openSet(deps: Deps, visit: Visit): Promise<OpenSet | undefined> {
  const { seat, ordinal } = visit;
  const serving = await servingOf(deps.store, seat.id, ordinal);
  if (serving === undefined) {
    tellVisit(visit, 404, "notYours");
    return undefined;
  }
  const notice = admissionNotice(visit, serving);
  if (notice !== null) {
    tellVisit(visit, 409, notice);
    return undefined;
  }
  if (serving.answered) {
    visit.reply.redirect("/taste", 303);
    return undefined;
  }
  const asked = await questionnaire(deps.store, seat.sessionId, visit.language.tag);
  const sets = (await servings(deps.store, seat.id)).length;
  return { serving, asked, sets };
}

/** Entries that lead to each wrong field; those of a choice name its question. */
function summary(view: SetView, errors: FieldErrors): { href: string; message: string }[] {
  const legends = new Map(view.questions.map(({ name, legend }) => [name, `${legend} `]));
  return Object.entries(errors).map(([name, message]) => ({
    href: `#${fieldId(view.ordinal, name)}`,
    message: `${legends.get(name) ?? ""}${message}`,
  }));
}
