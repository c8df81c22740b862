import fastifyStatic from "@fastify/static";
import type { FastifyPluginAsync } from "fastify";
import { templatesFolder } from "./render.ts";

/** Style sheets and small scripts, from our own host only. */
export const assets: FastifyPluginAsync = async (app) => {
  await app.register(fastifyStatic, { root: `${templatesFolder}/assets`, serve: false });
  app.get<{ Params: { "*": string } }>(
    "/assets/*",
    { config: { access: "anyone" } },
    async (request, reply) => reply.sendFile(request.params["*"], { maxAge: "1h" }),
  );
};
