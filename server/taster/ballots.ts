import type { FastifyPluginAsync, FastifyReply, FastifyRequest } from "fastify";
import { type Deps, hashToken } from "../deps.ts";
import { errorsByField, formOf, type RawForm, textOf } from "../form.ts";
import { complaints } from "./ballot-form.ts";
import type { Languages } from "./languages.ts";
import { sendOutcome, wantsJson } from "./pages.ts";
import { ballotExtrasSchema, type Received, receiveBallot } from "./receive-ballot.ts";
import { seatToken } from "./seat.ts";
import { mendExtras, showMend, showReview, showSet } from "./set-pages.ts";
import { refusalNotice, tellVisit, type Visit, visitOf } from "./visit.ts";

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
        return await showReview(deps, visit, fields);
      },
    );
  };
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
      if (received.refusal === "paused" && !wantsJson(request)) {
        reply.code(409);
        return await showReview(deps, visit, fields);
      }
      return tellVisit(
        visit,
        409,
        received.refusal === "closed" ? "tooLate" : refusalNotice[received.refusal],
      );
    case "mend":
      return await showMend(deps, visit, fields, complaints(language.messages, received.issues));
  }
}
