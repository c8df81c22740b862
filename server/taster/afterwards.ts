import type { FastifyPluginAsync, FastifyReply, FastifyRequest } from "fastify";
import { headlineWords } from "../../src/report/wording/headlines.ts";
import type { Deps } from "../deps.ts";
import { sealedSession } from "../sealed-session.ts";
import { findingsOf } from "../session-findings.ts";
import { type TastersSee, tastersSee } from "../store/afterwards.ts";
import { questionnaire, type Seat } from "../store/blind.ts";
import type { Language, Languages } from "./languages.ts";
import { ownResult } from "./own-result.ts";
import { sendPage, tell } from "./pages.ts";
import { seatOf } from "./seat.ts";

/**
 * How a taster did, on their own phone: only once the key is open, only if the lead lets them, and
 * nothing of anyone else's answers.
 */
export function afterwards(deps: Deps, languages: Languages): FastifyPluginAsync {
  return async (app) => {
    app.get("/taste/afterwards", { config: { access: "seat" } }, async (request, reply) => {
      const seat = await seatOf(request, deps);
      if (seat === undefined) return reply.redirect("/join", 303);
      const language = languages.choose(seat.language);
      const see = await tastersSee(deps.store, seat.sessionId);
      if (see !== "nothing" && seat.active)
        return await showOwn(deps, reply, { seat, language, see });
      const told = { status: 403, notice: "closed", language, seat, next: null } as const;
      return tell(request, reply, told);
    });
  };
}

/** The end of the tasting, with the way to how one did where there is something to see. */
export async function showEnd(
  deps: Deps,
  request: FastifyRequest,
  reply: FastifyReply,
  { seat, language }: { seat: Seat; language: Language },
): Promise<FastifyReply> {
  if ((await tastersSee(deps.store, seat.sessionId)) === "nothing") {
    return tell(request, reply, { status: 200, notice: "closed", language, seat, next: null });
  }
  return sendPage(reply, "ended", { ...language.messages.notices.closed, language, seat });
}

async function showOwn(
  deps: Deps,
  reply: FastifyReply,
  { seat, language, see }: { seat: Seat; language: Language; see: TastersSee },
): Promise<FastifyReply> {
  const session = await sealedSession(deps.store, seat.sessionId);
  if (session === undefined) throw new Error("A seat belongs to a sealed session");
  const { evidence, findings } = await findingsOf(deps.store, session);
  const asked = await questionnaire(deps.store, seat.sessionId, language.tag);
  const t = language.messages;
  return sendPage(reply, "afterwards", {
    title: t.afterwards.title,
    language,
    seat,
    ...ownResult(t, asked, evidence, seat.id),
    headline: see === "own-and-headline" ? headlineWords[findings.headline] : null,
  });
}
