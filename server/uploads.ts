import fastifyMultipart from "@fastify/multipart";
import type { FastifyInstance } from "fastify";
import { type PublicRefusal, sendRefusal } from "./errors.ts";

const MEBIBYTE = 2 ** 20;

/**
 * Lets the routes of one scope take a form with a file, `mebibytes` in all. Elsewhere a multipart body
 * has no parser and is refused with 415. The size is judged by the length that the request announces,
 * which Node holds it to, so that nothing of a larger body is read.
 */
export async function takeUploads(app: FastifyInstance, { mebibytes = 1 } = {}): Promise<void> {
  const most = mebibytes * MEBIBYTE;
  app.addHook("onRequest", async (request, reply) => {
    if (!request.headers["content-type"]?.startsWith("multipart/")) return;
    const length = Number(request.headers["content-length"] ?? Number.NaN);
    if (Number.isNaN(length)) return sendRefusal(request, reply, noLength);
    if (length > most) return sendRefusal(request, reply, tooLarge(mebibytes));
  });
  await app.register(fastifyMultipart, {
    attachFieldsToBody: "keyValues",
    limits: { fields: 60, parts: 80, files: 1, fieldSize: MEBIBYTE, fileSize: most },
  });
}

const noLength: PublicRefusal = {
  status: 411,
  headline: "That request does not say how long it is",
  advice: "Send the file with the form on the page.",
};

function tooLarge(mebibytes: number): PublicRefusal {
  const advice = `Choose a file of less than ${mebibytes} MB, or send it in parts.`;
  return { status: 413, headline: "That file is too large", advice };
}
