import type { FastifyPluginAsync, FastifyReply } from "fastify";
import { judgedReasons, reasonWords } from "../../src/experiment/brew-limits.ts";
import { type RejectionReason, rejectionReasonSchema } from "../../src/experiment/brew-log.ts";
import { coffeeName } from "../../src/experiment/plan.ts";
import { leadIn } from "../access.ts";
import { type Deps, now } from "../deps.ts";
import { notFound, type PublicRefusal, sendRefusal } from "../errors.ts";
import { formOf, textOf } from "../form.ts";
import { dataLocked } from "../sealed-session.ts";
import { rejectBrews } from "../store/brews.ts";
import { appendEvent } from "../store/events.ts";
import { sessionById } from "../store/sessions.ts";
import { breachesOf } from "./brew-pages.ts";
import { findPot, otherOfPair, type PotAt, type PotRoute } from "./pot-at.ts";

/** Rejecting a brew pair, for a reason on its inputs; both pots are then brewed and logged again. */
export function brewRejection(deps: Deps): FastifyPluginAsync {
  return async (app) => {
    const config = { access: "lead" as const };
    const path = "/lead/sessions/:sessionId/brews/:potId/rejection";
    app.get<PotRoute>(path, { config }, async (request, reply) => {
      const at = await findPot(deps, request);
      if (at === undefined) return sendRefusal(request, reply, notFound);
      if (at.pot.brew === null) return sendRefusal(request, reply, notLogged);
      return showRejection(reply, at, null);
    });
    app.post<PotRoute>(path, { config, preHandler: app.csrfProtection }, async (request, reply) => {
      const at = await findPot(deps, request);
      if (at === undefined) return sendRefusal(request, reply, notFound);
      if (at.pot.brew === null) return sendRefusal(request, reply, notLogged);
      const reason = rejectionReasonSchema.safeParse(textOf(formOf(request.body), "reason"));
      if (!reason.success || !reasonsFor(at).includes(reason.data)) {
        reply.code(422);
        return showRejection(
          reply,
          at,
          "Choose the reason; a pair can't be rejected for its yield or taste",
        );
      }
      const rejected = await reject(deps, `lead:${leadIn(request).id}`, at, reason.data);
      if (!rejected) return sendRefusal(request, reply, dataLocked);
      return reply.redirect(`/lead/sessions/${at.session.id}/brews#pot-${at.pot.potId}`, 303);
    });
  };
}

const notLogged: PublicRefusal = {
  status: 409,
  headline: "This pot is not logged yet",
  advice:
    "Log the brew first, as it was; then its pair can be rejected for what was wrong with it.",
};

/** Reasons that hold for this pair: limits that its pots broke, and what a person judges. */
function reasonsFor({ session, pots, pot }: PotAt): RejectionReason[] {
  const other = otherOfPair({ pots, pot });
  const broken = [pot, ...(other === undefined ? [] : [other])].flatMap((one) =>
    breachesOf(one, pots, session.plan).map(({ reason }) => reason),
  );
  return [...new Set([...broken, ...judgedReasons])];
}

/** Rejects both pots of the pair; false when the session has been unblinded meanwhile. */
async function reject(
  deps: Deps,
  actor: string,
  at: PotAt,
  reason: RejectionReason,
): Promise<boolean> {
  const sessionId = at.session.id;
  const pair = [at.pot, otherOfPair(at)].filter((pot) => pot !== undefined);
  const potIds = pair.map(({ potId }) => potId);
  const rejected = await deps.store.transaction().execute(async (trx) => {
    if ((await sessionById(trx, sessionId))?.state === "unblinded") return false;
    await rejectBrews(trx, potIds, reason);
    const body = { potIds, reason };
    await appendEvent(trx, sessionId, { at: now(deps), actor, kind: "brew-pair-rejected", body });
    return true;
  });
  if (rejected) deps.live.changed(sessionId);
  return rejected;
}

function showRejection(reply: FastifyReply, at: PotAt, error: string | null): FastifyReply {
  const other = otherOfPair(at);
  return reply.page("lead/brew-rejection", {
    title: "Reject a brew pair",
    session: at.session,
    potId: at.pot.potId,
    coffee: coffeeName(at.session.plan, at.pot.coffeeId),
    letters: [at.pot.letter, other?.letter ?? ""].filter((letter) => letter !== "").join(" and "),
    error,
    served: at.session.state !== "sealed",
    reasons: reasonsFor(at).map((value) => ({ value, words: reasonWords[value] })),
  });
}
