import type { FastifyPluginAsync, FastifyReply, FastifyRequest } from "fastify";
import { cupsOfSet } from "../../src/design/serving-orders.ts";
import { readAnswers } from "../../src/experiment/ballot.ts";
import type { SetKind } from "../../src/experiment/endpoint.ts";
import { type Deps, newToken } from "../deps.ts";
import { type FieldErrors, formOf, type RawForm, textOf } from "../form.ts";
import {
  type Questionnaire,
  questionnaire,
  type Seat,
  type Serving,
  sittingFacts,
} from "../store/blind.ts";
import { ballotForm, complaints, fieldId, setView } from "./ballot-form.ts";
import type { Language, Languages } from "./languages.ts";
import { sendPage, tell } from "./pages.ts";
import { reviewOf } from "./review.ts";
import { seatOf } from "./seat.ts";

/** A set with invented codes, to try a phone before the tasting opens. Nothing of it is stored. */
export function trial(deps: Deps, languages: Languages): FastifyPluginAsync {
  return async (app) => {
    app.get("/taste/trial", { config: { access: "seat" } }, async (request, reply) => {
      const visit = await trialOf(deps, languages, request, reply);
      return visit === undefined ? reply : showTrial(deps, visit, { values: {}, errors: {} });
    });
    app.post(
      "/taste/trial",
      { config: { access: "seat" }, preHandler: app.csrfProtection },
      async (request, reply) => {
        const visit = await trialOf(deps, languages, request, reply);
        if (visit === undefined) return reply;
        const values = formOf(request.body);
        if (textOf(values, "step") === "change") {
          return showTrial(deps, visit, { values, errors: {} });
        }
        return answerTrial(deps, visit, values);
      },
    );
  };
}

interface Trial {
  request: FastifyRequest;
  reply: FastifyReply;
  seat: Seat;
  language: Language;
  asked: Questionnaire;
  serving: Serving;
}

/** The trial of a seat that waits for the opening; anyone else is led on. */
async function trialOf(
  deps: Deps,
  languages: Languages,
  request: FastifyRequest,
  reply: FastifyReply,
): Promise<Trial | undefined> {
  const seat = await seatOf(request, deps);
  if (seat === undefined || seat.state !== "sealed") {
    reply.redirect(seat === undefined ? "/join" : "/taste", 303);
    return undefined;
  }
  const language = languages.choose(seat.language);
  const asked = await questionnaire(deps.store, seat.sessionId, language.tag);
  const { sets } = await sittingFacts(deps.store, seat.sessionId, language.tag);
  return { request, reply, seat, language, asked, serving: inventedServing(asked, sets) };
}

const INVENTED = ["274", "618", "935", "527"];

/** Kinds that ask more are tried first. */
const trialKinds: readonly SetKind[] = ["ab", "tetrad", "duo-trio", "triangle", "three-afc"];

/** No tray: the same numbers for everyone, in a set of the kind that asks most. */
function inventedServing({ questions }: Questionnaire, sets: number): Serving {
  const setKind = trialKinds.find((kind) => questions[kind].length > 0) ?? "ab";
  const codes = INVENTED.slice(0, cupsOfSet({ kind: setKind }));
  const ordinal = sets + 1;
  return { id: "", ordinal, setKind, codes, answered: false, voided: false, replaced: [] };
}

function viewOf(
  { language, asked, serving }: Trial,
  key: string,
  filling: { values: RawForm; errors: FieldErrors },
) {
  const t = language.messages;
  return {
    ...setView(t, asked, { serving, sets: 1, key }, filling),
    action: "/taste/trial",
    heading: t.trialHeading,
    reviewHeading: t.trialReview,
    poured: [t.trialText],
  };
}

function showTrial(
  deps: Deps,
  visit: Trial,
  filling: { values: RawForm; errors: FieldErrors },
): FastifyReply {
  const { reply, seat, language, serving } = visit;
  const set = viewOf(visit, newToken(deps), filling);
  const errors = Object.entries(filling.errors).map(([name, message]) => ({
    href: `#${fieldId(serving.ordinal, name)}`,
    message,
  }));
  return sendPage(reply, "set", { title: set.heading, language, seat, set, errors });
}

function answerTrial(deps: Deps, visit: Trial, values: RawForm): FastifyReply {
  const { request, reply, seat, language, asked, serving } = visit;
  const t = language.messages;
  const read = readAnswers(ballotForm(asked, serving), values);
  if (!read.ok) {
    reply.code(422);
    return showTrial(deps, visit, { values, errors: complaints(t, read.issues) });
  }
  if (textOf(values, "step") === "lock") {
    return tell(request, reply, {
      status: 200,
      notice: "trialDone",
      language,
      seat,
      next: "/taste",
    });
  }
  const set = viewOf(visit, newToken(deps), { values: {}, errors: {} });
  const review = reviewOf(t, asked, serving, { answers: read.answers, fields: values });
  const comment = textOf(values, "comment").slice(0, 500);
  return sendPage(reply, "review", { title: t.trialReview, language, seat, set, review, comment });
}
