import type { FastifyPluginAsync, FastifyReply } from "fastify";
import { CANNOT_TELL, readAnswers } from "../../src/experiment/ballot.ts";
import { leadIn } from "../access.ts";
import type { Deps } from "../deps.ts";
import { notFound, sendRefusal } from "../errors.ts";
import {
  errorSummary,
  type FieldErrors,
  fieldMaker,
  formOf,
  type RawForm,
  textOf,
} from "../form.ts";
import { type SealedSession, sealedSession } from "../sealed-session.ts";
import { ballotForm, complaints } from "./ballot-form.ts";
import { loadTasterLanguages } from "./languages.ts";
import { findBallot, paperForm } from "./paper-ballot.ts";
import { takeReading } from "./paper-reading.ts";

type SessionRoute = { Params: { sessionId: string } };

/**
 * Paper ballots, for a phone that fails: each is typed in twice, and counts once two readings in a
 * row agree.
 */
export function paper(deps: Deps): FastifyPluginAsync {
  const t = loadTasterLanguages().choose("en").messages;
  return async (app) => {
    const config = { access: "lead" as const };
    const path = "/lead/sessions/:sessionId/paper";
    app.get<SessionRoute>(path, { config }, async (request, reply) => {
      const session = await sealedSession(deps.store, request.params.sessionId);
      if (session === undefined) return sendRefusal(request, reply, notFound);
      const values = formOf(request.query);
      if (textOf(values, "seat") === "" && textOf(values, "set") === "") {
        return showPaper(reply, session, {
          values,
          errors: {},
          ballot: null,
          told: toldOf(values),
        });
      }
      const found = await findBallot(deps, session.id, values);
      if (!found.ok) return mend(reply, session, values, found.errors, null);
      const ballot = paperForm(t, found.ballot, {}, {});
      return showPaper(reply, session, { values, errors: {}, ballot, told: null });
    });
    app.post<SessionRoute>(
      path,
      { config, preHandler: app.csrfProtection },
      async (request, reply) => {
        const session = await sealedSession(deps.store, request.params.sessionId);
        if (session === undefined) return sendRefusal(request, reply, notFound);
        const values = formOf(request.body);
        const found = await findBallot(deps, session.id, values);
        if (!found.ok) return mend(reply, session, values, found.errors, null);
        const { ballot } = found;
        const fields = asTyped(values);
        const read = readAnswers(ballotForm(ballot.asked, ballot.serving), fields);
        if (!read.ok) {
          const errors = complaints(t, read.issues);
          return mend(reply, session, values, errors, paperForm(t, ballot, values, errors));
        }
        const leadId = leadIn(request).id;
        const outcome = await takeReading(deps, ballot, { leadId, fields, answers: read.answers });
        if (!outcome.ok) {
          const { errors } = outcome;
          return mend(reply, session, values, errors, paperForm(t, ballot, values, errors));
        }
        const where = `seat=${ballot.seat.number}&set=${ballot.serving.ordinal}`;
        const next = outcome.told === "first" ? `${where}&told=first` : `told=${outcome.told}`;
        return reply.redirect(`/lead/sessions/${session.id}/paper?${next}`, 303);
      },
    );
  };
}

/** What was typed, with 000 for "can't tell", as the strip has it. */
function asTyped(values: RawForm): Record<string, string> {
  return Object.fromEntries(
    Object.keys(values).map((name) => {
      const value = textOf(values, name).trim();
      return [name, value === "000" && !name.includes("-") ? CANNOT_TELL : value];
    }),
  );
}

function mend(
  reply: FastifyReply,
  session: SealedSession,
  values: RawForm,
  errors: FieldErrors,
  ballot: ReturnType<typeof paperForm> | null,
): FastifyReply {
  reply.code(422);
  return showPaper(reply, session, { values, errors, ballot, told: null });
}

function toldOf(values: RawForm): string | null {
  return textOf(values, "told") === "taken" ? "Both readings agree, and the ballot is in." : null;
}

function showPaper(
  reply: FastifyReply,
  { id, name }: SealedSession,
  page: {
    values: RawForm;
    errors: FieldErrors;
    ballot: ReturnType<typeof paperForm> | null;
    told: string | null;
  },
): FastifyReply {
  const field = fieldMaker(page.values, page.errors);
  return reply.page("lead/paper", {
    title: "Type a paper ballot in",
    id,
    name,
    told: page.told,
    errors: errorSummary(page.errors),
    ballot: page.ballot,
    // A complaint about the set has its place though the number is fixed by then.
    setError: page.ballot === null ? null : (page.errors.set ?? null),
    which:
      page.ballot === null
        ? [field("seat", "Seat", { type: "whole" }), field("set", "Set", { type: "whole" })]
        : [],
  });
}
