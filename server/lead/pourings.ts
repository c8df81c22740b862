import type { FastifyPluginAsync, FastifyReply, FastifyRequest } from "fastify";
import {
  type LoggedPouring,
  mayCorrectPouring,
  nearestMoment,
} from "../../src/experiment/pouring.ts";
import { leadIn } from "../access.ts";
import type { Deps } from "../deps.ts";
import { notFound, sendRefusal } from "../errors.ts";
import {
  errorSummary,
  type FieldErrors,
  fieldMaker,
  formOf,
  numberFrom,
  type RawForm,
  textOf,
} from "../form.ts";
import {
  correctPouring,
  noPouringNow,
  type RoundToPour,
  recordPouring,
  roundsToPour,
} from "../pouring.ts";
import { momentOf } from "../pouring-view.ts";
import { type SealedSession, sealedSession } from "../sealed-session.ts";
import { eventsOf } from "../store/events.ts";

type SessionRoute = { Params: { sessionId: string } };
type PouringRoute = { Params: { sessionId: string; sequence: string } };

/** When rounds were poured: one press in the room, and a page that corrects its time. */
export function pourings(deps: Deps): FastifyPluginAsync {
  return async (app) => {
    const config = { access: "lead" as const };
    const guarded = { config, preHandler: app.csrfProtection };
    const path = "/lead/sessions/:sessionId/pourings";
    app.post<SessionRoute>(path, guarded, async (request, reply) => {
      const { sessionId } = request.params;
      const form = formOf(request.body);
      const outcome = await recordPouring(deps, {
        sessionId,
        actor: `lead:${leadIn(request).id}`,
        round: numberFrom(textOf(form, "round")) ?? 0,
        known: numberFrom(textOf(form, "known")) ?? -1,
      });
      if (outcome === "no-round") return sendRefusal(request, reply, notFound);
      if (outcome === "not-now") return sendRefusal(request, reply, noPouringNow);
      const told = outcome === "recorded" ? "?recorded=yes" : "";
      return reply.redirect(`/lead/sessions/${sessionId}/room${told}#pouring`, 303);
    });
    app.get<PouringRoute>(`${path}/:sequence`, { config }, (request, reply) =>
      withPouring(deps, request, reply, async (at) => showPouring(reply, at, {}, {})),
    );
    app.post<PouringRoute>(`${path}/:sequence`, guarded, (request, reply) =>
      withPouring(deps, request, reply, async (at) => await correct(deps, request, reply, at)),
    );
  };
}

interface PouringAt {
  session: SealedSession;
  round: RoundToPour;
  pouring: LoggedPouring;
}

async function withPouring(
  deps: Deps,
  request: FastifyRequest<PouringRoute>,
  reply: FastifyReply,
  goOn: (at: PouringAt) => Promise<FastifyReply>,
): Promise<FastifyReply> {
  const session = await sealedSession(deps.store, request.params.sessionId);
  if (session === undefined) return sendRefusal(request, reply, notFound);
  const events = await eventsOf(deps.store, session.id);
  const rounds = await roundsToPour(deps.store, session.id, session.plan, events);
  const sequence = numberFrom(request.params.sequence);
  const found = rounds.flatMap((round) =>
    round.pourings
      .filter((pouring) => pouring.sequence === sequence)
      .map((pouring) => ({ session, round, pouring })),
  );
  const [at] = found;
  if (at === undefined) return sendRefusal(request, reply, notFound);
  if (!mayCorrectPouring(session.state)) return sendRefusal(request, reply, noPouringNow);
  return await goOn(at);
}

async function correct(
  deps: Deps,
  request: FastifyRequest,
  reply: FastifyReply,
  at: PouringAt,
): Promise<FastifyReply> {
  const form = formOf(request.body);
  const read = correctedMoment(form, at.pouring.recordedAt, deps.clock());
  if (!read.ok) return showPouring(reply.code(422), at, form, { time: read.message });
  const { session, round, pouring } = at;
  const corrected = await correctPouring(deps, {
    sessionId: session.id,
    actor: `lead:${leadIn(request).id}`,
    round: round.round,
    sequence: pouring.sequence,
    pouredAt: read.pouredAt,
  });
  if (!corrected) return sendRefusal(request, reply, noPouringNow);
  return reply.redirect(`/lead/sessions/${session.id}/room?recorded=yes#pouring`, 303);
}

/** A time of day is taken as the one nearest to when the button was pressed. */
function correctedMoment(
  form: RawForm,
  recordedAt: string,
  now: Date,
): { ok: true; pouredAt: string | null } | { ok: false; message: string } {
  if (textOf(form, "step") === "remove") return { ok: true, pouredAt: null };
  const offset = /^-?\d{1,3}$/.test(textOf(form, "offset")) ? Number(textOf(form, "offset")) : 0;
  const pouredAt = nearestMoment(textOf(form, "time"), recordedAt, offset);
  if (pouredAt === null) return { ok: false, message: "Give hours and minutes, such as 14:05" };
  return Date.parse(pouredAt) > now.getTime()
    ? { ok: false, message: "That is still to come; give the time at which it was poured" }
    : { ok: true, pouredAt };
}

function showPouring(
  reply: FastifyReply,
  { session, round, pouring }: PouringAt,
  values: RawForm,
  errors: FieldErrors,
): FastifyReply {
  const poured = momentOf(Date.parse(pouring.pouredAt));
  const typed = "time" in values;
  const field = fieldMaker(typed ? values : { time: poured.clock }, errors);
  return reply.page("lead/pouring", {
    title: `When was R${round.round} poured?`,
    session,
    round,
    sequence: pouring.sequence,
    poured,
    // What was typed stays as it is; a fresh form follows the device's clock.
    fresh: !typed,
    errors: errorSummary(errors),
    time: field("time", "Poured at", { hint: "Hours and minutes, such as 14:05." }),
  });
}
