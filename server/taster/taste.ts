import type { FastifyPluginAsync, FastifyReply } from "fastify";
import { type Deps, hashToken, newToken } from "../deps.ts";
import { questionnaire, type Seat, type Serving, servings } from "../store/blind.ts";
import { showEnd } from "./afterwards.ts";
import { setView } from "./ballot-form.ts";
import type { Language, Languages } from "./languages.ts";
import { say } from "./messages.ts";
import { sendOutcome, sendPage, tell } from "./pages.ts";
import { seatOf } from "./seat.ts";

/**
 * The taster's one document: all sets that are still to be answered, the first of them in view. With
 * scripts the phone goes on from set to set by itself; without, each lock brings the document anew.
 */
export function taste(deps: Deps, languages: Languages): FastifyPluginAsync {
  return async (app) => {
    app.get("/taste", { config: { access: "seat" } }, async (request, reply) => {
      const seat = await seatOf(request, deps);
      if (seat === undefined) return reply.redirect("/join", 303);
      const language = languages.choose(seat.language);
      if (!seat.active) {
        const told = { status: 200, notice: "inactive", language, seat, next: null } as const;
        return tell(request, reply, told);
      }
      if (seat.state === "sealed") return showWaiting(reply, language, seat);
      if (seat.state === "open") return await showSets(deps, reply, language, seat);
      return await showEnd(deps, request, reply, { seat, language });
    });
    app.get("/taste/stamp", { config: { access: "seat" } }, async (request, reply) => {
      const seat = await seatOf(request, deps);
      if (seat === undefined) return sendOutcome(reply.code(401), "noSeat", "");
      return sendOutcome(reply, "stamp", stampOf(seat, await servings(deps.store, seat.id)));
    });
  };
}

function showWaiting(reply: FastifyReply, language: Language, seat: Seat): FastifyReply {
  const title = say(language.messages.waitTitle, { seat: seat.number });
  return sendPage(reply, "waiting", { title, language, seat, refreshes: true });
}

async function showSets(
  deps: Deps,
  reply: FastifyReply,
  language: Language,
  seat: Seat,
): Promise<FastifyReply> {
  const all = await servings(deps.store, seat.id);
  const asked = await questionnaire(deps.store, seat.sessionId, language.tag);
  const pageKey = newToken(deps);
  const t = language.messages;
  const sets = all.filter(isPending).map((serving) => {
    const key = `${pageKey}-${serving.ordinal}`;
    const filling = { values: {}, errors: {} };
    return setView(t, asked, { serving, sets: all.length, key }, filling);
  });
  const total = all.filter((serving) => serving.answered || !serving.voided).length;
  const received = total - sets.length;
  const status = say(t.status, { answered: received, sets: total, received, waiting: 0 });
  const title = sets[0]?.heading ?? t.done.title;
  const stamp = stampOf(seat, all);
  const restSeconds = asked.palateRestSeconds;
  const page = { title, language, seat, sets, total, received, status, stamp, restSeconds };
  return sendPage(reply, "taste", page);
}

/** Changes with what an open page must show anew: a pause, a cup's number, a set taken out or added. */
function stampOf({ paused }: Seat, all: readonly Serving[]): string {
  const trays = all.map(({ ordinal, codes, voided }) => [ordinal, codes, voided]);
  return hashToken(JSON.stringify([paused, trays])).slice(0, 12);
}

function isPending({ answered, voided }: Serving): boolean {
  return !answered && !voided;
}
