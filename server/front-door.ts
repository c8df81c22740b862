import type { FastifyPluginAsync } from "fastify";
import { leadOf } from "./access.ts";
import type { Deps } from "./deps.ts";

/** The bare address: a signed-in lead goes on with the experiments, everyone else types a code. */
export function frontDoor(deps: Deps): FastifyPluginAsync {
  return async (app) => {
    app.get("/", { config: { access: "anyone" } }, async (request, reply) =>
      reply.redirect((await leadOf(request, deps)) === null ? "/join" : "/lead", 303),
    );
  };
}
