import type { FastifyPluginAsync } from "fastify";
import type { Deps } from "../deps.ts";
import { listMatches } from "../store/waters.ts";
import { batchPages } from "./batch-pages.ts";
import { cupDose } from "./cup-dose.ts";
import { matchPage } from "./match-page.ts";
import { waterSheet } from "./water-sheet.ts";

/** Waters: matches and their sheets, cup dosing, batches as made. */
export function water(deps: Deps): FastifyPluginAsync {
  return async (app) => {
    app.get("/lead/water", { config: { access: "lead" } }, async (_request, reply) => {
      const matches = await listMatches(deps.store);
      return reply.page("water/index", {
        title: "Water",
        matches: matches.map((match) => ({ ...match, saved: match.createdAt.slice(0, 10) })),
      });
    });
    await app.register(matchPage(deps));
    await app.register(waterSheet(deps));
    await app.register(cupDose());
    await app.register(batchPages(deps));
  };
}
