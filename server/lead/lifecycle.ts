import type { FastifyPluginAsync, FastifyReply, FastifyRequest } from "fastify";
import { verifyUnblinding } from "../../src/design/seal.ts";
import { type SessionStep, take } from "../../src/experiment/session.ts";
import { leadIn } from "../access.ts";
import { type Deps, now } from "../deps.ts";
import { notFound, type PublicRefusal, sendRefusal } from "../errors.ts";
import { appendEvent } from "../store/events.ts";
import { progressOf } from "../store/progress.ts";
import { moveSession, type Session, secretsOf, sessionById } from "../store/sessions.ts";
import { closingWords } from "./closing-words.ts";
import { progressCounts, progressText } from "./room-view.ts";
import { unmetLimits } from "./unmet-limits.ts";

type SessionRoute = { Params: { sessionId: string } };
type Step = Exclude<SessionStep, "seal">;

/** The acts that move a sealed session on: opening, closure, unblinding. Only forward. */
export function lifecycle(deps: Deps): FastifyPluginAsync {
  return async (app) => {
    const config = { access: "lead" as const };
    const checked = { config, preHandler: app.csrfProtection };
    const base = "/lead/sessions/:sessionId";
    app.post<SessionRoute>(`${base}/opening`, checked, (request, reply) =>
      answerStep(deps, request, reply, "open"),
    );
    app.get<SessionRoute>(`${base}/closure`, { config }, async (request, reply) =>
      confirm(deps, request, reply, "close"),
    );
    app.post<SessionRoute>(`${base}/closure`, checked, (request, reply) =>
      answerStep(deps, request, reply, "close"),
    );
    app.get<SessionRoute>(`${base}/unblinding`, { config }, async (request, reply) =>
      confirm(deps, request, reply, "unblind"),
    );
    app.post<SessionRoute>(`${base}/unblinding`, checked, (request, reply) =>
      answerStep(deps, request, reply, "unblind"),
    );
  };
}

async function answerStep(
  deps: Deps,
  request: FastifyRequest<SessionRoute>,
  reply: FastifyReply,
  step: Step,
): Promise<FastifyReply> {
  const { sessionId } = request.params;
  const refusal = await takeStep(deps, sessionId, `lead:${leadIn(request).id}`, step);
  if (refusal !== null) return sendRefusal(request, reply, refusal);
  deps.live.changed(sessionId);
  return await reply.redirect(`/lead/sessions/${sessionId}`, 303);
}

const kinds = { open: "opened", close: "closed", unblind: "unblinded" } as const;
const states = { open: "open", close: "closed", unblind: "unblinded" } as const;

/** Moves a session one step on with its event; what is wrong instead, or null when done. */
async function takeStep(
  deps: Deps,
  sessionId: string,
  actor: string,
  step: Step,
): Promise<PublicRefusal | null> {
  return await deps.store.transaction().execute(async (trx) => {
    const session = await sessionById(trx, sessionId);
    if (session === undefined) return notFound;
    const outcome = take(step, session.state);
    if (!outcome.ok) return outcome.refusal === "already-done" ? alreadyDone[step] : tooEarly[step];
    const at = now(deps);
    const body =
      step === "unblind"
        ? verification(session, await secretsOf(trx, sessionId))
        : progressCounts(await progressOf(trx, sessionId));
    await moveSession(trx, sessionId, states[step], at);
    await appendEvent(trx, sessionId, { at, actor, kind: kinds[step], body });
    return null;
  });
}

/** What anyone needs to check that the key is the one that was committed to, and our own check of it. */
function verification(session: Session, secrets: { nonceHex: string; keyJson: string }) {
  const commitment = session.sealed?.commitment ?? "";
  const { nonceHex: nonce, keyJson } = secrets;
  const keyMatches = verifyUnblinding({ key: JSON.parse(keyJson), nonce, commitment });
  return { commitment, nonce, keyMatches };
}

const alreadyDone: Record<Step, PublicRefusal> = {
  open: done("This session has been opened already", "Tasters can join with its code."),
  close: done("This session is closed already", "No answer was lost or added by trying again."),
  unblind: done("The key is open already", "Read the report from the session’s page."),
};

const tooEarly: Record<Step, PublicRefusal> = {
  open: done("This session isn’t sealed yet", "Seal it first; then it can be opened."),
  close: done("This session isn’t open yet", "Open it first, let people taste, then close."),
  unblind: done(
    "The key stays shut until the session is closed",
    "Close the session first. If a cup must be identified for safety, use “Open the key early” on the session’s page.",
  ),
};

function done(headline: string, advice: string): PublicRefusal {
  return { status: 409, headline, advice };
}

async function confirm(
  deps: Deps,
  request: FastifyRequest<SessionRoute>,
  reply: FastifyReply,
  step: "close" | "unblind",
): Promise<FastifyReply> {
  const session = await sessionById(deps.store, request.params.sessionId);
  if (session === undefined) return sendRefusal(request, reply, notFound);
  const outcome = take(step, session.state);
  if (!outcome.ok) {
    const refusals = outcome.refusal === "already-done" ? alreadyDone : tooEarly;
    return sendRefusal(request, reply, refusals[step]);
  }
  const seats = await progressOf(deps.store, session.id);
  const fields = { id: session.id, name: session.name, progress: progressText(seats) };
  return step === "close"
    ? reply.page("lead/close", {
        ...fields,
        title: `Close ${session.name}`,
        room: closingWords(seats),
      })
    : reply.page("lead/unblind", {
        ...fields,
        title: `Open the key of ${session.name}`,
        unmet: session.sealed ? await unmetLimits(deps.store, session.id, session.sealed.plan) : [],
      });
}
