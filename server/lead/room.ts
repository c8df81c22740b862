import type { FastifyPluginAsync, FastifyReply, FastifyRequest } from "fastify";
import type { Deps } from "../deps.ts";
import { notFound, sendRefusal } from "../errors.ts";
import { formOf, textOf } from "../form.ts";
import { roundsToPour } from "../pouring.ts";
import { pouringView } from "../pouring-view.ts";
import { eventsOf } from "../store/events.ts";
import { progressOf } from "../store/progress.ts";
import { type Session, sessionById } from "../store/sessions.ts";
import { incidentLog } from "./incident-log.ts";
import { incidentButtons } from "./incident-pages.ts";
import { paceSentence } from "./plan-words.ts";
import { roomView } from "./room-view.ts";
import { stateInWords } from "./session-words.ts";

type SessionRoute = { Params: { sessionId: string } };

const PAUSED = "paused: answers wait on the phones";

/** Keeps a silent connection from being taken for a dead one. */
const HEARTBEAT_MILLISECONDS = 20_000;

/** The room while it tastes: who has saved what, live; no answers, no tallies. */
export function room(deps: Deps): FastifyPluginAsync {
  return async (app) => {
    const config = { access: "lead" as const };
    app.get<SessionRoute>("/lead/sessions/:sessionId/room", { config }, async (request, reply) => {
      const session = await sealedIn(deps, request);
      if (session === undefined) return sendRefusal(request, reply, notFound);
      const { name } = session;
      const grid = await gridFields(deps, session);
      const recorded = textOf(formOf(request.query), "recorded") !== "";
      return reply.page("lead/room", {
        title: `Room: ${name}`,
        name,
        pace: paceSentence(session.sealed?.plan.serving),
        recorded: (recorded && grid.log[0]?.text) || null,
        buttons: incidentButtons(session),
        desk: session.state === "open",
        seats: session.state === "sealed" || session.state === "open",
        ...grid,
      });
    });
    app.get<SessionRoute>(
      "/lead/sessions/:sessionId/room/grid",
      { config },
      async (request, reply) => {
        const session = await sealedIn(deps, request);
        if (session === undefined) return sendRefusal(request, reply, notFound);
        const fields = await gridFields(deps, session);
        return reply.page("lead/room-grid", { title: session.name, ...fields });
      },
    );
    app.get<SessionRoute>("/lead/sessions/:sessionId/live", { config }, async (request, reply) => {
      const session = await sealedIn(deps, request);
      if (session === undefined) return sendRefusal(request, reply, notFound);
      return tellChanges(deps, reply, session.id);
    });
  };
}

async function sealedIn(
  deps: Deps,
  request: FastifyRequest<SessionRoute>,
): Promise<Session | undefined> {
  const session = await sessionById(deps.store, request.params.sessionId);
  return session?.sealed === null ? undefined : session;
}

async function gridFields(deps: Deps, session: Session) {
  const { id, state, sealed } = session;
  const events = await eventsOf(deps.store, id);
  const rounds = sealed ? await roundsToPour(deps.store, id, sealed.plan, events) : [];
  return {
    id,
    pouring: sealed && pouringView({ state, plan: sealed.plan }, rounds, deps.clock()),
    state: session.state === "open" && session.pausedAt !== null ? PAUSED : stateInWords(session),
    log: incidentLog(events),
    room: roomView(await progressOf(deps.store, id)),
  };
}

/** Server-sent events that say only that something changed; the page then fetches the grid. */
function tellChanges(deps: Deps, reply: FastifyReply, sessionId: string): FastifyReply {
  reply.hijack();
  reply.raw.writeHead(200, {
    "content-type": "text/event-stream",
    "cache-control": "no-store",
    "x-accel-buffering": "no",
  });
  reply.raw.write(": following\n\n");
  const stop = deps.live.follow(sessionId, () => reply.raw.write("event: changed\ndata: {}\n\n"));
  const heartbeat = setInterval(() => reply.raw.write(": still here\n\n"), HEARTBEAT_MILLISECONDS);
  reply.raw.on("close", () => {
    clearInterval(heartbeat);
    stop();
  });
  return reply;
}
