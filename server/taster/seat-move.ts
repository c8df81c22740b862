import type { FastifyPluginAsync, FastifyReply, FastifyRequest } from "fastify";
import { type Deps, hashToken, newToken, now } from "../deps.ts";
import { readJoinCode } from "../join-code.ts";
import { type SeatOffer, seatToMove } from "../store/blind.ts";
import { appendEvent } from "../store/events.ts";
import { moveSeat } from "../store/tasters.ts";
import type { Guesses } from "./code-guesses.ts";
import type { Languages } from "./languages.ts";
import { say } from "./messages.ts";
import { languageOf, sendPage, tell } from "./pages.ts";
import { giveSeat } from "./seat.ts";

type MoveRoute = { Params: { code: string } };

/** Taking a seat over on another phone, with the code that a lead gave; the old phone's token stops. */
export function seatMove(deps: Deps, languages: Languages, guesses: Guesses): FastifyPluginAsync {
  return async (app) => {
    app.get<MoveRoute>("/seat/:code", { config: { access: "anyone" } }, async (request, reply) => {
      const code = readJoinCode(request.params.code);
      const guess = await guesses.lookUp(request.ip, () =>
        seatToMove(deps.store, hashToken(code), now(deps)),
      );
      if (!guess.ok) return tellGuess(languages, request, reply, guess.refusal);
      const offer = guess.found;
      const language = languages.choose(offer.language);
      const title = say(language.messages.moveTitle, { seat: offer.number });
      return sendPage(reply, "move", { title, code, language, seat: null });
    });
    app.post<MoveRoute>(
      "/seat/:code",
      { config: { access: "anyone" }, preHandler: app.csrfProtection },
      async (request, reply) => {
        const token = newToken(deps);
        const codeHash = hashToken(readJoinCode(request.params.code));
        const guess = await guesses.lookUp(request.ip, () =>
          takeOver(deps, codeHash, hashToken(token)),
        );
        if (!guess.ok) return tellGuess(languages, request, reply, guess.refusal);
        giveSeat(deps, reply, token);
        deps.live.changed(guess.found.sessionId);
        return reply.redirect("/taste", 303);
      },
    );
  };
}

function tellGuess(
  languages: Languages,
  request: FastifyRequest,
  reply: FastifyReply,
  refusal: "wrong" | "over" | "crowded",
): FastifyReply {
  const told =
    refusal === "wrong"
      ? ({ status: 404, notice: "moveSpent" } as const)
      : ({ status: 429, notice: "tooMany" } as const);
  const language = languageOf(request, languages);
  return tell(request, reply, { ...told, language, seat: null, next: "/join" });
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
