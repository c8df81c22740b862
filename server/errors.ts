import type { FastifyError, FastifyInstance, FastifyReply, FastifyRequest } from "fastify";

/** What a person is told when a request can't be done: status, headline and what to do. */
export interface PublicRefusal {
  status: number;
  headline: string;
  advice: string;
}

export const notFound: PublicRefusal = {
  status: 404,
  headline: "There is nothing at this address",
  advice: "The link may be old or mistyped. Go back, or ask the person who gave it to you.",
};

const formExpired: PublicRefusal = {
  status: 403,
  headline: "This form has expired",
  advice: "Go back, reload the page and send the form again. What you typed is still on the form.",
};

const tooMany: PublicRefusal = {
  status: 429,
  headline: "Too many tries",
  advice: "Wait a minute, then try again.",
};

const tooLarge: PublicRefusal = {
  status: 413,
  headline: "That is too large",
  advice: "Send less than 1 MB.",
};

const unreadable: PublicRefusal = {
  status: 415,
  headline: "This page takes no such form",
  advice: "Go back, reload the page and send the form as it stands there.",
};

const tooManyParts: PublicRefusal = {
  status: 413,
  headline: "That form has too many parts",
  advice: "Send one file, with the form as it stands on the page.",
};

const badRequest: PublicRefusal = {
  status: 400,
  headline: "That request could not be read",
  advice: "Go back, reload the page and try again.",
};

const broken: PublicRefusal = {
  status: 500,
  headline: "Something broke on our side",
  advice:
    "Nothing that was acknowledged is lost. Reload the page; if it happens again, look at the server's log.",
};

/** Errors become a page (or JSON under /api/) whose text is public; the cause goes to the log only. */
export function answerErrors(app: FastifyInstance): void {
  app.setErrorHandler((error: FastifyError, request, reply) => {
    const refusal = refusalFor(error);
    if (refusal.status >= 500) request.log.error(error);
    return sendRefusal(request, reply, refusal);
  });
  app.setNotFoundHandler((request, reply) => sendRefusal(request, reply, notFound));
}

/** Sends a refusal in the form the caller reads. */
export function sendRefusal(
  request: FastifyRequest,
  reply: FastifyReply,
  refusal: PublicRefusal,
): FastifyReply {
  reply.code(refusal.status);
  if (request.url.startsWith("/api/")) {
    return reply.send({ error: { code: `http-${refusal.status}`, message: refusal.headline } });
  }
  return reply.page("refusal", { ...refusal, title: refusal.headline });
}

function refusalFor(error: FastifyError): PublicRefusal {
  if (error.code?.startsWith("FST_CSRF")) return formExpired;
  if (/^FST_(PARTS|FILES|FIELDS)_LIMIT$/.test(error.code ?? "")) return tooManyParts;
  const status = error.statusCode ?? 500;
  if (status === 429) return tooMany;
  if (status === 413) return tooLarge;
  if (status === 415) return unreadable;
  if (status === 404) return notFound;
  return status >= 400 && status < 500 ? badRequest : broken;
}
