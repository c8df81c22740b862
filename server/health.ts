import type { FastifyPluginAsync } from "fastify";
import { sql } from "kysely";
import type { Deps } from "./deps.ts";

/** `/healthz`: the process answers. `/readyz`: the store answers too. */
export function health(deps: Deps): FastifyPluginAsync {
  return async (app) => {
    app.get("/healthz", { config: { access: "anyone" } }, async () => ({ status: "ok" }));
    app.get("/readyz", { config: { access: "anyone" } }, async (_request, reply) => {
      try {
        await sql`SELECT 1`.execute(deps.store);
        return { status: "ready" };
      } catch (error) {
        reply.log.error(error);
        return await reply.code(503).send({ status: "store unavailable" });
      }
    });
  };
}
