import type { FastifyPluginAsync } from "fastify";
import { type Deps, now } from "../deps.ts";
import { answersCanBeVoided, withdraw } from "../withdrawal.ts";
import type { Languages } from "./languages.ts";
import { sendPage, tell } from "./pages.ts";
import { seatOf, takeSeatBack } from "./seat.ts";

/** A taster's way out, at one tap and its confirmation; no reason is asked. */
export function stopping(deps: Deps, languages: Languages): FastifyPluginAsync {
  return async (app) => {
    app.get("/taste/stop", { config: { access: "seat" } }, async (request, reply) => {
      const seat = await seatOf(request, deps);
      if (seat === undefined) return reply.redirect("/join", 303);
      const language = languages.choose(seat.language);
      const t = language.messages;
      const words = answersCanBeVoided(seat) ? t.stopping : t.unlinking;
      return sendPage(reply, "stop", { ...words, language, seat, canStop: false });
    });
    app.post(
      "/taste/stop",
      { config: { access: "seat" }, preHandler: app.csrfProtection },
      async (request, reply) => {
        const seat = await seatOf(request, deps);
        if (seat === undefined) return reply.redirect("/join", 303);
        const language = languages.choose(seat.language);
        const act = { at: now(deps), actor: `seat:${seat.id}` };
        const voids = await deps.store.transaction().execute((trx) => withdraw(trx, seat, act));
        deps.live.changed(seat.sessionId);
        takeSeatBack(reply);
        const notice = voids ? "stopped" : "unlinked";
        return tell(request, reply, { status: 200, notice, language, seat: null, next: null });
      },
    );
  };
}
