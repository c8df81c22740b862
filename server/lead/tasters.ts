import type { FastifyPluginAsync, FastifyReply, FastifyRequest } from "fastify";
import { leadIn } from "../access.ts";
import { type Deps, now } from "../deps.ts";
import { notFound, type PublicRefusal, sendRefusal } from "../errors.ts";
import { formOf, textOf } from "../form.ts";
import { type SealedSession, sealedSession } from "../sealed-session.ts";
import { type SeatedTaster, seatedTasters } from "../store/names.ts";
import { ownRecord } from "../store/own-record.ts";
import { answersCanBeVoided, withdraw } from "../withdrawal.ts";

type SessionRoute = { Params: { sessionId: string } };
type SeatRoute = { Params: { sessionId: string; seat: string } };

/** Who sits where, by name only; what is kept of each seat to hand out, and erasing it. */
export function tasters(deps: Deps): FastifyPluginAsync {
  return async (app) => {
    const config = { access: "lead" as const };
    const base = "/lead/sessions/:sessionId/tasters";
    app.get<SessionRoute>(base, { config }, async (request, reply) => {
      const session = await sealedSession(deps.store, request.params.sessionId);
      if (session === undefined) return sendRefusal(request, reply, notFound);
      return await showTasters(deps, reply, session, textOf(formOf(request.query), "erased"));
    });
    app.get<SeatRoute>(`${base}/:seat/data.json`, { config }, (request, reply) =>
      withTaster(deps, request, reply, async ({ session, taster }) =>
        reply
          .header("content-disposition", `attachment; filename="seat-${taster.number}.json"`)
          .header("cache-control", "no-store")
          // Nobody else's answers are shown to a lead before the key is open.
          .send(
            await ownRecord(deps.store, taster.seatId, { answers: session.state === "unblinded" }),
          ),
      ),
    );
    app.get<SeatRoute>(`${base}/:seat/erasure`, { config }, (request, reply) =>
      withTaster(deps, request, reply, async ({ session, taster }) =>
        taster.name === null
          ? sendRefusal(request, reply, alreadyErased)
          : reply.page("lead/erasure", {
              title: `Erase seat ${taster.number}`,
              session,
              taster,
              voids: answersCanBeVoided(session),
            }),
      ),
    );
    app.post<SeatRoute>(
      `${base}/:seat/erasure`,
      { config, preHandler: app.csrfProtection },
      (request, reply) =>
        withTaster(deps, request, reply, async ({ session, taster }) => {
          if (taster.name === null) return sendRefusal(request, reply, alreadyErased);
          const seat = { id: taster.seatId, sessionId: session.id, state: session.state };
          const act = { at: now(deps), actor: `lead:${leadIn(request).id}` };
          await deps.store.transaction().execute((trx) => withdraw(trx, seat, act));
          deps.live.changed(session.id);
          const { id } = session;
          return await reply.redirect(`/lead/sessions/${id}/tasters?erased=${taster.number}`, 303);
        }),
    );
  };
}

const alreadyErased: PublicRefusal = {
  status: 409,
  headline: "This name is erased already",
  advice: "Nothing of this person is left to erase. Go back to the list of tasters.",
};

async function withTaster(
  deps: Deps,
  request: FastifyRequest<SeatRoute>,
  reply: FastifyReply,
  goOn: (found: { session: SealedSession; taster: SeatedTaster }) => Promise<FastifyReply>,
): Promise<FastifyReply> {
  const session = await sealedSession(deps.store, request.params.sessionId);
  if (session === undefined) return sendRefusal(request, reply, notFound);
  const seated = await seatedTasters(deps.store, session.id);
  const taster = seated.find(({ number }) => String(number) === request.params.seat);
  if (taster === undefined) return sendRefusal(request, reply, notFound);
  return await goOn({ session, taster });
}

async function showTasters(
  deps: Deps,
  reply: FastifyReply,
  session: SealedSession,
  erased: string,
): Promise<FastifyReply> {
  const seated = await seatedTasters(deps.store, session.id);
  return reply.page("lead/tasters", {
    title: `Tasters: ${session.name}`,
    session,
    erased: /^\d{1,4}$/.test(erased) ? erased : null,
    days: deps.retentionDays === 0 ? null : deps.retentionDays,
    tasters: seated.map((taster) => ({
      ...taster,
      joinedAt: taster.joinedAt.slice(0, 16).replace("T", " "),
      state: taster.name === null ? "erased" : taster.leftAt === null ? "seated" : "left",
    })),
  });
}
