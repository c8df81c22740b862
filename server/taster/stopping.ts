import type { FastifyPluginAsync } from "fastify";
import type { Transaction } from "kysely";
import { type Deps, now } from "../deps.ts";
import { type Seat, seatById } from "../store/blind.ts";
import { appendEvent } from "../store/events.ts";
import type { Database } from "../store/schema.ts";
import { eraseTaster, voidSeat } from "../store/tasters.ts";
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
        const voids = await deps.store.transaction().execute((trx) => leave(trx, seat, now(deps)));
        deps.live.changed(seat.sessionId);
        takeSeatBack(reply);
        const notice = voids ? "stopped" : "unlinked";
        return tell(request, reply, { status: 200, notice, language, seat: null, next: null });
      },
    );
  };
}

/** Before closing, the seat's answers are voided; afterwards they stay and only lose their name. */
async function leave(trx: Transaction<Database>, seat: Seat, at: string): Promise<boolean> {
  const voids = answersCanBeVoided((await seatById(trx, seat.id)) ?? seat);
  if (voids) await voidSeat(trx, { seatId: seat.id, reason: "withdrawn", at });
  await eraseTaster(trx, seat.id);
  const kind = voids ? "taster-withdrew" : "taster-unlinked";
  await appendEvent(trx, seat.sessionId, { at, actor: `seat:${seat.id}`, kind, body: {} });
  return voids;
}

function answersCanBeVoided({ state }: Seat): boolean {
  return state === "sealed" || state === "open";
}
