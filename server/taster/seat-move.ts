import type { FastifyPluginAsync } from "fastify";
import { type Deps, hashToken, newToken, now } from "../deps.ts";
import { readJoinCode } from "../join-code.ts";
import { type SeatOffer, seatToMove } from "../store/blind.ts";
import { appendEvent } from "../store/events.ts";
import { moveSeat } from "../store/tasters.ts";
import type { countGuesses } from "./code-guesses.ts";
import type { Languages } from "./languages.ts";
import { say } from "./messages.ts";
import { languageOf, sendPage, tell } from "./pages.ts";
import { giveSeat } from "./seat.ts";

type MoveRoute = { Params: { code: string } };

/** Taking a seat over on another phone, with the code that a lead gave; the old phone's token stops. */
export function seatMove(
  deps: Deps,
  languages: Languages,
  guesses: ReturnType<typeof countGuesses>,
): FastifyPluginAsync {
  return async (app) => {
    app.get<MoveRoute>("/seat/:code", { config: { access: "anyone" } }, async (request, reply) => {
      await guesses.slowDown(request.ip);
      const code = readJoinCode(request.params.code);
      const offer = await seatToMove(deps.store, hashToken(code), now(deps));
      if (offer === undefined) {
        guesses.noteWrong(request.ip);
        const language = languageOf(request, languages);
        const told = {
          status: 404,
          notice: "moveSpent",
          language,
          seat: null,
          next: "/join",
        } as const;
        return tell(request, reply, told);
      }
      const language = languages.choose(offer.language);
      const title = say(language.messages.moveTitle, { seat: offer.number });
      return sendPage(reply, "move", { title, code, language, seat: null });
    });
    app.post<MoveRoute>(
      "/seat/:code",
      { config: { access: "anyone" }, preHandler: app.csrfProtection },
      async (request, reply) => {
        await guesses.slowDown(request.ip);
        const token = newToken(deps);
        const codeHash = hashToken(readJoinCode(request.params.code));
        const offer = await takeOver(deps, codeHash, hashToken(token));
        if (offer === undefined) {
          guesses.noteWrong(request.ip);
          const language = languageOf(request, languages);
          const told = {
            status: 404,
            notice: "moveSpent",
            language,
            seat: null,
            next: "/join",
          } as const;
          return tell(request, reply, told);
        }
        giveSeat(reply, token);
        deps.live.changed(offer.sessionId);
        return reply.redirect("/taste", 303);
      },
    );
  };
}

/** Gives the seat its new token and notes it, together or not at all. */
async function takeOver(
  deps: Deps,
  codeHash: string,
  tokenHash: string,
): Promise<SeatOffer | undefined> {
  const at = now(deps);
  return await deps.store.transaction().execute(async (trx) => {
    const offer = await seatToMove(trx, codeHash, at);
    if (offer === undefined) return undefined;
    await moveSeat(trx, { seatId: offer.seatId, codeHash, tokenHash, at });
    const actor = `seat:${offer.seatId}`;
    await appendEvent(trx, offer.sessionId, { at, actor, kind: "seat-moved", body: {} });
    return offer;
  });
}
