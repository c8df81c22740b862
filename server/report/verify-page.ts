import type { FastifyPluginAsync, FastifyReply } from "fastify";
import { type Check, readPublished, verifyPublished } from "../../src/report/verification.ts";
import { formOf, textOf } from "../form.ts";
import { takeUploads } from "../uploads.ts";

/** A page on which anyone checks a published session; the file is read, checked and forgotten. */
export const verifyPage: FastifyPluginAsync = async (app) => {
  // A published session of a large panel is a few megabytes.
  await takeUploads(app, { mebibytes: 16 });
  const config = { access: "anyone" as const };
  app.get("/verify", { config }, async (_request, reply) => show(reply, null, null));
  app.post(
    "/verify",
    {
      config: { ...config, rateLimit: { max: 30, timeWindow: "1 minute" } },
      preHandler: app.csrfProtection,
    },
    async (request, reply) => {
      const form = formOf(request.body);
      const text = Buffer.isBuffer(form.file) ? form.file.toString("utf8") : textOf(form, "file");
      const read = readPublished(text);
      if (read.ok) return show(reply, verifyPublished(read.session), null);
      reply.code(422);
      return show(
        reply,
        null,
        `This is no published session: ${read.message}. Choose the file session.json of a report.`,
      );
    },
  );
};

function show(reply: FastifyReply, checks: Check[] | null, error: string | null): FastifyReply {
  return reply.page("report/verify", {
    title: "Verify a session",
    checks,
    allHold: checks?.every(({ ok }) => ok) ?? false,
    error,
  });
}
