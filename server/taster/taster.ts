import type { FastifyError, FastifyPluginAsync } from "fastify";
import type { Deps } from "../deps.ts";
import { afterwards } from "./afterwards.ts";
import { ballots } from "./ballots.ts";
import { countGuesses } from "./code-guesses.ts";
import { joining } from "./joining.ts";
import { loadTasterLanguages } from "./languages.ts";
import type { NoticeName } from "./messages.ts";
import { ownData } from "./own-data.ts";
import { languageOf, tell } from "./pages.ts";
import { seatOf } from "./seat.ts";
import { seatMove } from "./seat-move.ts";
import { stopping } from "./stopping.ts";
import { taste } from "./taste.ts";
import { trial } from "./trial.ts";

/** All that a taster's phone can reach, with its errors in the taster's language. */
export function taster(deps: Deps): FastifyPluginAsync {
  const languages = loadTasterLanguages();
  return async (app) => {
    app.setErrorHandler(async (error: FastifyError, request, reply) => {
      const { status, notice } = publicError(error);
      if (status >= 500) request.log.error(error);
      // A broken store can't say who is asking.
      const seat = status >= 500 ? null : ((await seatOf(request, deps)) ?? null);
      const language =
        seat === null ? languageOf(request, languages) : languages.choose(seat.language);
      return tell(request, reply, { status, notice, language, seat, next: "/taste" });
    });
    const guesses = countGuesses(deps.clock);
    await app.register(joining(deps, languages, guesses));
    await app.register(seatMove(deps, languages, guesses));
    await app.register(taste(deps, languages));
    await app.register(trial(deps, languages));
    await app.register(afterwards(deps, languages));
    await app.register(stopping(deps, languages));
    await app.register(ownData(deps, languages));
    await app.register(ballots(deps, languages));
  };
}

function publicError(error: FastifyError): { status: number; notice: NoticeName } {
  if (error.code?.startsWith("FST_CSRF")) return { status: 403, notice: "expired" };
  const status = error.statusCode ?? 500;
  if (status === 429) return { status, notice: "tooMany" };
  return status >= 400 && status < 500
    ? { status, notice: "expired" }
    : { status: 500, notice: "broken" };
}
