import type { FastifyPluginAsync } from "fastify";

/** What is computed, how and why, for whoever checks the statistics. */
export const methodsPage: FastifyPluginAsync = async (app) => {
  app.get("/bench/methods", { config: { access: "anyone" } }, async (_request, reply) =>
    reply.page("bench/methods", { title: "Methods, for statisticians" }),
  );
};
