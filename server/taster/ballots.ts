import type { FastifyPluginAsync, FastifyReply, FastifyRequest } from "fastify";
import { type Answers, readAnswers } from "../../src/experiment/ballot.ts";
import { admitBallot } from "../../src/experiment/session.ts";
import { type Deps, hashToken, newToken } from "../deps.ts";
import { errorsByField, type FieldErrors, formOf, type RawForm, textOf } from "../form.ts";
import {
  type Questionnaire,
  questionnaire,
  type Seat,
  type Serving,
  servingOf,
  servings,
} from "../store/blind.ts";
import { ballotForm, complaints, fieldId, setView } from "./ballot-form.ts";
import type { Language, Languages } from "./languages.ts";
import type { NoticeName } from "./messages.ts";
import { sendOutcome, sendPage, tell, wantsJson } from "./pages.ts";
import { ballotExtrasSchema, type Received, receiveBallot } from "./receive-ballot.ts";
import { reviewOf } from "./review.ts";
import { seatOf, seatToken } from "./seat.ts";

/** Ballots a seat may send in a minute: a whole sitting at once after an hour without network. */
const perSeat = {
  max: 240,
  timeWindow: "1 minute",
  keyGenerator: (request: FastifyRequest) => hashToken(seatToken(request) ?? request.ip),
};

/** One set on its own page, for phones without scripts, and the one address that takes ballots in. */
export function ballots(deps: Deps, languages: Languages): FastifyPluginAsync {
  return async (app) => {
    app.get<{ Params: { ordinal: string } }>(
      "/taste/:ordinal",
      { config: { access: "seat" } },
      async (request, reply) => {
        const visit = await visitOf(deps, languages, request, reply);
        if (visit === undefined) return reply;
        return await showSet(deps, visit, { values: {}, errors: {} });
      },
    );
    app.post<{ Params: { ordinal: string } }>(
      "/taste/:ordinal",
      { config: { access: "seat", rateLimit: perSeat }, preHandler: app.csrfProtection },
      async (request, reply) => {
        const visit = await visitOf(deps, languages, request, reply);
        if (visit === undefined) return reply;
        const fields = formOf(request.body);
        const step = textOf(fields, "step");
        if (step === "lock") return await lock(deps, visit, fields);
        if (step === "change") return await showSet(deps, visit, { values: fields, errors: {} });
        return await review(deps, visit, fields);
      },
    );
  };
}

/** A request of a seated taster about one of their sets. */
interface Visit {
  request: FastifyRequest;
  reply: FastifyReply;
  seat: Seat;
  language: Language;
  ordinal: number;
}

async function visitOf(
  deps: Deps,
  languages: Languages,
  request: FastifyRequest<{ Params: { ordinal: string } }>,
  reply: FastifyReply,
): Promise<Visit | undefined> {
  const seat = await seatOf(request, deps);
  const language = languages.choose(seat?.language, request.headers["accept-language"]);
  if (seat === undefined) {
    tell(request, reply, { status: 401, notice: "noSeat", language, seat: null, next: "/join" });
    return undefined;
  }
  const { ordinal } = request.params;
  // Anything that is no number names no set: ordinals start at 1.
  return { request, reply, seat, language, ordinal: /^\d{1,4}$/.test(ordinal) ? +ordinal : 0 };
}

async function lock(deps: Deps, visit: Visit, fields: RawForm): Promise<FastifyReply> {
  const extras = ballotExtrasSchema.safeParse(fields);
  if (!extras.success) return await mendExtras(deps, visit, fields, errorsByField(extras.error));
  const { seat, ordinal } = visit;
  const received = await receiveBallot(deps, { seat, ordinal, fields, extras: extras.data });
  return await acknowledge(deps, visit, fields, received);
}

async function acknowledge(
  deps: Deps,
  visit: Visit,
  fields: RawForm,
  received: Received,
): Promise<FastifyReply> {
  const { request, reply, language } = visit;
  switch (received.outcome) {
    case "stored":
      return wantsJson(request) ? sendOutcome(reply, "stored", "") : reply.redirect("/taste", 303);
    case "differs":
      return tellVisit(visit, 409, "differs");
    case "not-yours":
      return tellVisit(visit, 404, "notYours");
    case "refused":
      return tellVisit(visit, 409, refusalNotice[received.refusal]);
    case "mend":
      return await showMend(deps, visit, fields, complaints(language.messages, received.issues));
  }
}

const refusalNotice = {
  "not-open-yet": "notOpenYet",
  closed: "closed",
  "seat-inactive": "inactive",
  voided: "voided",
} as const;

function tellVisit(visit: Visit, status: number, notice: NoticeName): FastifyReply {
  const { request, reply, language, seat } = visit;
  return tell(request, reply, { status, notice, language, seat, next: "/taste" });
}

/** The set once more before it is locked, or the form again with what is wrong. */
async function review(deps: Deps, visit: Visit, fields: RawForm): Promise<FastifyReply> {
  const set = await openSet(deps, visit);
  if (set === undefined) return visit.reply;
  const extras = ballotExtrasSchema.safeParse(fields);
  if (!extras.success) return await mendExtras(deps, visit, fields, errorsByField(extras.error));
  const t = visit.language.messages;
  const read = readAnswers(ballotForm(set.asked, set.serving), fields);
  if (!read.ok) return await showMend(deps, visit, fields, complaints(t, read.issues));
  return showReview(visit, set, { answers: read.answers, fields, ...extras.data });
}

interface OpenSet {
  serving: Serving;
  asked: Questionnaire;
  sets: number;
}

function showReview(
  { reply, seat, language }: Visit,
  set: OpenSet,
  given: { answers: Answers; fields: RawForm; key: string; comment: string },
): FastifyReply {
  const t = language.messages;
  const { serving, asked, sets } = set;
  const view = setView(t, asked, { serving, sets, key: given.key }, { values: {}, errors: {} });
  return sendPage(reply, "review", {
    title: view.reviewHeading,
    language,
    seat,
    set: view,
    review: reviewOf(t, asked, serving, given),
    comment: given.comment,
  });
}

/** The set's presentation when it can be answered now; otherwise the taster has been told why not. */
async function openSet(deps: Deps, visit: Visit): Promise<OpenSet | undefined> {
  const { seat, ordinal } = visit;
  const serving = await servingOf(deps.store, seat.id, ordinal);
  if (serving === undefined) {
    tellVisit(visit, 404, "notYours");
    return undefined;
  }
  const { state, active } = seat;
  const admitted = admitBallot({ state, seatActive: active, voided: serving.voided });
  if (!admitted.ok) {
    tellVisit(visit, 409, refusalNotice[admitted.refusal]);
    return undefined;
  }
  if (serving.answered) {
    visit.reply.redirect("/taste", 303);
    return undefined;
  }
  const asked = await questionnaire(deps.store, seat.sessionId);
  const sets = (await servings(deps.store, seat.id)).length;
  return { serving, asked, sets };
}

async function showSet(
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
  const asked = new Map(view.questions.map(({ name, legend }) => [name, `${legend} `]));
  const errors = Object.entries(filling.errors).map(([name, message]) => ({
    href: `#${fieldId(ordinal, name)}`,
    message: `${asked.get(name) ?? ""}${message}`,
  }));
  const title = errors.length > 0 ? `${t.mistake} ${view.heading}` : view.heading;
  return sendPage(reply, "set", { title, language, seat, set: view, errors });
}

async function showMend(
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
async function mendExtras(
  deps: Deps,
  visit: Visit,
  fields: RawForm,
  errors: FieldErrors,
): Promise<FastifyReply> {
  if (errors.key !== undefined) return tellVisit(visit, 400, "expired");
  const { commentLong } = visit.language.messages;
  return await showMend(deps, visit, fields, { comment: commentLong });
}
