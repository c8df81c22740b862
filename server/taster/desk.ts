import type { FastifyPluginAsync, FastifyReply } from "fastify";
import type { AnswerIssue } from "../../src/experiment/ballot.ts";
import {
  fieldsOfStrip,
  readStrip,
  type Strip,
  type StripRefusal,
} from "../../src/experiment/strip.ts";
import { leadIn } from "../access.ts";
import { type Deps, newToken } from "../deps.ts";
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
import { questionnaire, seatByNumber, servingOf } from "../store/blind.ts";
import { ballotForm } from "./ballot-form.ts";
import { deskRefusals } from "./desk-refusals.ts";
import { receiveBallot } from "./receive-ballot.ts";

type SessionRoute = { Params: { sessionId: string } };

/** The desk: a lead types in the digits that a phone shows when its answers can't get through. */
export function desk(deps: Deps): FastifyPluginAsync {
  return async (app) => {
    const config = { access: "lead" as const };
    const path = "/lead/sessions/:sessionId/desk";
    app.get<SessionRoute>(path, { config }, async (request, reply) => {
      const session = await sealedSession(deps.store, request.params.sessionId);
      if (session === undefined) return sendRefusal(request, reply, notFound);
      const taken = textOf(formOf(request.query), "taken");
      return showDesk(reply, session, { values: {}, errors: {} }, taken);
    });
    app.post<SessionRoute>(
      path,
      { config, preHandler: app.csrfProtection },
      async (request, reply) => {
        const session = await sealedSession(deps.store, request.params.sessionId);
        if (session === undefined) return sendRefusal(request, reply, notFound);
        const values = formOf(request.body);
        const typed = await takeStrip(
          deps,
          session.id,
          leadIn(request).id,
          textOf(values, "strip"),
        );
        if (typed.ok) {
          const { seat, set } = typed.strip;
          return reply.redirect(`${request.url.split("?")[0]}?taken=${seat}.${set}`, 303);
        }
        reply.code(422);
        return showDesk(reply, session, { values, errors: { strip: typed.message } }, "");
      },
    );
  };
}

type Taken = { ok: true; strip: Strip } | { ok: false; message: string };

/** Takes a typed strip in as the ballot it is; or says what is wrong with it. */
async function takeStrip(
  deps: Deps,
  sessionId: string,
  leadId: string,
  typed: string,
): Promise<Taken> {
  const read = readStrip(typed);
  if (!read.ok) return { ok: false, message: stripRefusals[read.refusal] };
  const { strip } = read;
  const where = `Seat ${strip.seat}, set ${strip.set}`;
  const seat = await seatByNumber(deps.store, sessionId, strip.seat);
  const serving = seat && (await servingOf(deps.store, seat.id, strip.set));
  if (seat === undefined || serving === undefined) {
    return { ok: false, message: `${where}: this session has no such set` };
  }
  const form = ballotForm(await questionnaire(deps.store, sessionId, null), serving);
  const fields = fieldsOfStrip(form, strip.answers);
  if (fields === undefined) {
    return { ok: false, message: `${where} asks for another number of answers; type every group` };
  }
  const extras = { key: `desk-${newToken(deps)}`, comment: "", seconds: null };
  const by = { leadId, from: "a strip of digits" };
  const received = await receiveBallot(deps, { seat, ordinal: strip.set, fields, extras, by });
  switch (received.outcome) {
    case "stored":
      return { ok: true, strip };
    case "differs":
      return {
        ok: false,
        message: `${where} was answered differently before: the first answer stands`,
      };
    case "not-yours":
      return { ok: false, message: `${where}: this session has no such set` };
    case "refused":
      return { ok: false, message: `${where}: ${deskRefusals[received.refusal]}` };
    case "mend":
      return { ok: false, message: `${where}: ${complaint(received.issues, fields)}` };
  }
}

const stripRefusals: Record<StripRefusal, string> = {
  "not-a-strip": "Type every group of three digits and the single digit at the end",
  "check-digit": "The last digit does not fit the others: compare each group with the phone",
};

function complaint(issues: readonly AnswerIssue[], fields: Record<string, string>): string {
  const [first] = issues;
  const typed = first === undefined ? "" : (fields[first.field] ?? "");
  if (first?.issue === "not-a-score") return `${typed} is no score from 0 to 100`;
  return typed === "" ? "an answer is missing" : `cup ${typed} is not on this tray`;
}

function showDesk(
  reply: FastifyReply,
  { id, name }: SealedSession,
  { values, errors }: { values: RawForm; errors: FieldErrors },
  taken: string,
): FastifyReply {
  const [seat, set] = /^\d{1,3}\.\d{1,3}$/.test(taken) ? taken.split(".") : [];
  return reply.page("lead/desk", {
    title: "Type an answer in",
    id,
    name,
    taken:
      seat === undefined ? null : `Seat ${seat}, set ${set} is in. Tell the taster that it counts.`,
    errors: errorSummary(errors),
    strip: fieldMaker(values, errors)("strip", "Digits on the phone", {
      hint: "Groups of three digits and one digit at the end, for example 003 001 417 - 6. Spaces don't matter.",
    }),
  });
}
