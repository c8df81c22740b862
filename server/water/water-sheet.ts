import type { FastifyPluginAsync } from "fastify";
import type { Deps } from "../deps.ts";
import { notFound, sendRefusal } from "../errors.ts";
import { matchById } from "../store/waters.ts";
import { reopened } from "./match-page.ts";
import { readMatch } from "./match-plan.ts";
import { type MatchResult, matchResult } from "./match-result.ts";

type MatchRoute = { Params: { matchId: string } };

/** A saved match on paper: what to weigh, to tick off, with blanks for lots, and labels to cut out. */
export function waterSheet(deps: Deps): FastifyPluginAsync {
  return async (app) => {
    const config = { access: "lead" as const };
    app.get<MatchRoute>(
      "/lead/water/matches/:matchId/sheet",
      { config },
      async (request, reply) => {
        const saved = await matchById(deps.store, request.params.matchId);
        if (saved === undefined) return sendRefusal(request, reply, notFound);
        const draft = reopened(saved);
        const read = readMatch(draft);
        if (!read.ok) return await reply.redirect(`/lead/water/matches/${saved.id}`, 303);
        const result = matchResult(draft, read.request);
        return reply.page("water/sheet", {
          title: `Water sheet: ${saved.name}`,
          stylesheet: "water.css",
          saved,
          result,
          labels: bottleLabels(result),
        });
      },
    );
  };
}

interface BottleLabel {
  code: string;
  what: string;
  warning: string | null;
}

/**
 * Labels that say nothing of the arm: both arms get as many, with the same words. The stock bottles'
 * own labels stay with whoever makes the waters.
 */
function bottleLabels({ steps }: MatchResult): { blind: BottleLabel[]; stock: BottleLabel[] } {
  const additions = Math.max(...steps.arms.map(({ additions: list }) => list.length));
  const warning = "May be concentrated: not for drinking";
  const numbers = Array.from({ length: additions }, (_, index) => index + 1);
  const blind = steps.arms
    .map(({ label }) => label)
    .toSorted()
    .flatMap((code) => [
      { code, what: "brew water", warning: null },
      ...numbers.map((number) => ({ code, what: `addition ${number}`, warning })),
    ]);
  const stock = steps.vessels
    .filter(({ heading }) => heading.startsWith("Stock"))
    .map(({ heading }) => ({
      code: heading,
      what: "concentrated",
      warning: "Not for drinking undiluted",
    }));
  return { blind, stock };
}
