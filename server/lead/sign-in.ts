import type { FastifyPluginAsync, FastifyReply } from "fastify";
import { LEAD_COOKIE } from "../access.ts";
import { type Deps, hashToken } from "../deps.ts";
import {
  errorSummary,
  type FieldErrors,
  fieldMaker,
  formOf,
  type RawForm,
  textOf,
} from "../form.ts";
import { hashPassphrase, passphraseMatches } from "../passphrase.ts";
import { endVisit, leadByName } from "../store/leads.ts";
import { startVisit } from "./visit.ts";

const strictRate = { max: 10, timeWindow: "1 minute" };

/** Signing in and out with name and passphrase. */
export function signIn(deps: Deps): FastifyPluginAsync {
  return async (app) => {
    app.get("/sign-in", { config: { access: "anyone" } }, async (request, reply) =>
      showSignIn(reply, { next: safeNext(formOf(request.query)) }, {}),
    );
    app.post(
      "/sign-in",
      { config: { access: "anyone", rateLimit: strictRate }, preHandler: app.csrfProtection },
      async (request, reply) => answerSignIn(deps, reply, formOf(request.body)),
    );
    app.post(
      "/sign-out",
      { config: { access: "anyone" }, preHandler: app.csrfProtection },
      async (request, reply) => {
        const { value } = request.unsignCookie(request.cookies[LEAD_COOKIE] ?? "");
        if (value !== null) {
          await deps.store.transaction().execute((trx) => endVisit(trx, hashToken(value)));
        }
        return await reply.clearCookie(LEAD_COOKIE, { path: "/" }).redirect("/sign-in", 303);
      },
    );
  };
}

function showSignIn(reply: FastifyReply, values: RawForm, errors: FieldErrors): FastifyReply {
  const field = fieldMaker(values, errors);
  return reply.page("lead/sign-in", {
    title: "Sign in",
    errors: errorSummary(errors),
    next: textOf(values, "next"),
    name: field("name", "Name", { autocomplete: "username" }),
    passphrase: field("passphrase", "Passphrase", {
      type: "password",
      autocomplete: "current-password",
    }),
  });
}

async function answerSignIn(deps: Deps, reply: FastifyReply, form: RawForm): Promise<FastifyReply> {
  const lead = await leadByName(deps.store, textOf(form, "name").trim());
  // A hash is computed for unknown names too, so that the time taken tells nothing.
  const hash = lead?.passphraseHash ?? (await hashPassphrase("nobody by that name"));
  const matches = await passphraseMatches(textOf(form, "passphrase"), hash);
  if (lead === undefined || !matches) {
    reply.code(422);
    return showSignIn(reply, form, {
      name: "Name and passphrase don't belong together; check both",
    });
  }
  return await startVisit(deps, reply, lead.id, safeNext(form));
}

/** Only a path of our own: a sign-in form must not send people elsewhere. */
function safeNext(form: RawForm): string {
  const next = textOf(form, "next");
  return /^\/lead(\/[\w/?=&%.-]*)?$/.test(next) ? next : "/lead";
}
