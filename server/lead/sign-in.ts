import type { FastifyPluginAsync, FastifyReply } from "fastify";
import { z } from "zod";
import { LEAD_COOKIE } from "../access.ts";
import { type Deps, hashToken, newToken, now } from "../deps.ts";
import { notFound, sendRefusal } from "../errors.ts";
import {
  errorSummary,
  errorsByField,
  type FieldErrors,
  fieldMaker,
  formOf,
  type RawForm,
  textOf,
} from "../form.ts";
import { hashPassphrase, passphraseMatches, SHORTEST_PASSPHRASE } from "../passphrase.ts";
import {
  addInvitation,
  addLead,
  addVisit,
  endVisit,
  type Invitation,
  leadByName,
  listLeads,
  openInvitation,
  setPassphrase,
  useInvitation,
} from "../store/leads.ts";

const VISIT_HOURS = 14;
const INVITATION_HOURS = 72;
const strictRate = { max: 10, timeWindow: "1 minute" };

const passphraseFields = {
  passphrase: z
    .string()
    .min(
      SHORTEST_PASSPHRASE,
      `Use at least ${SHORTEST_PASSPHRASE} characters; a few words are good`,
    )
    .max(200, "Use at most 200 characters"),
  again: z.string(),
};
const same = {
  check: (form: { passphrase: string; again: string }) => form.passphrase === form.again,
  complaint: { path: ["again"], message: "The two passphrases differ; type the same one twice" },
};
const newLeadSchema = z
  .object({
    name: z
      .string()
      .trim()
      .min(1, "Say what colleagues call you")
      .max(60, "Use at most 60 characters"),
    ...passphraseFields,
  })
  .refine(same.check, same.complaint);
const resetSchema = z.object(passphraseFields).refine(same.check, same.complaint);

/** Signing in and out, the first visit, invitations of further leads, and reset links. */
export function signIn(deps: Deps): FastifyPluginAsync {
  return async (app) => {
    const limited = { access: "anyone" as const, rateLimit: strictRate };
    app.get("/sign-in", { config: { access: "anyone" } }, async (request, reply) =>
      showSignIn(reply, { next: safeNext(formOf(request.query)) }, {}),
    );
    app.post(
      "/sign-in",
      { config: limited, preHandler: app.csrfProtection },
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
    app.get<{ Params: { token: string } }>(
      "/enter/:token",
      { config: limited },
      async (request, reply) => {
        const invitation = await openInvitation(
          deps.store,
          hashToken(request.params.token),
          now(deps),
        );
        if (invitation === undefined) return sendRefusal(request, reply, usedInvitation);
        return showEnter(reply, { token: request.params.token, invitation }, {}, {});
      },
    );
    app.post<{ Params: { token: string } }>(
      "/enter/:token",
      { config: limited, preHandler: app.csrfProtection },
      async (request, reply) => {
        const { token } = request.params;
        const invitation = await openInvitation(deps.store, hashToken(token), now(deps));
        if (invitation === undefined) return sendRefusal(request, reply, usedInvitation);
        return await answerEnter(deps, reply, { token, invitation }, formOf(request.body));
      },
    );
    app.get("/lead/colleagues", { config: { access: "lead" } }, async (_request, reply) =>
      reply.page("lead/colleagues", {
        title: "Colleagues",
        leads: await listLeads(deps.store),
        invitation: null,
      }),
    );
    app.post(
      "/lead/colleagues/invitations",
      { config: { access: "lead" }, preHandler: app.csrfProtection },
      async (_request, reply) => {
        const token = await makeInvitation(deps, { purpose: "invite", leadId: null });
        return reply.page("lead/colleagues", {
          title: "Colleagues",
          leads: await listLeads(deps.store),
          invitation: `${deps.publicUrl()}/enter/${token}`,
        });
      },
    );
  };
}

const usedInvitation = {
  ...notFound,
  headline: "This link has been used or has expired",
  advice:
    "Sign in with your passphrase, ask a colleague for a new invitation, or run `evenpour lead reset NAME` on the server.",
};

/** Stores an invitation and returns its token, to be put after `/enter/`. */
export async function makeInvitation(deps: Deps, invitation: Invitation): Promise<string> {
  const token = newToken(deps);
  const expiresAt = hoursFrom(deps, INVITATION_HOURS);
  await deps.store
    .transaction()
    .execute((trx) =>
      addInvitation(trx, { ...invitation, tokenHash: hashToken(token), at: now(deps), expiresAt }),
    );
  return token;
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

function showEnter(
  reply: FastifyReply,
  door: { token: string; invitation: Invitation },
  values: RawForm,
  errors: FieldErrors,
): FastifyReply {
  const field = fieldMaker(values, errors);
  const titles = {
    "set-up": "Set up this installation",
    invite: "Join as a lead",
    reset: "Choose a new passphrase",
    "sign-in": "Sign in",
  };
  const newPassphrase = { type: "password", autocomplete: "new-password" } as const;
  return reply.page("lead/enter", {
    title: titles[door.invitation.purpose],
    token: door.token,
    errors: errorSummary(errors),
    asksName: door.invitation.purpose === "set-up" || door.invitation.purpose === "invite",
    asksPassphrase: door.invitation.purpose !== "sign-in",
    name: field("name", "Your name", { autocomplete: "username" }),
    passphrase: field("passphrase", "Passphrase", {
      ...newPassphrase,
      hint: `At least ${SHORTEST_PASSPHRASE} characters; a few words are good.`,
    }),
    again: field("again", "The same passphrase again", newPassphrase),
  });
}

async function answerEnter(
  deps: Deps,
  reply: FastifyReply,
  door: { token: string; invitation: Invitation },
  form: RawForm,
): Promise<FastifyReply> {
  const used = { tokenHash: hashToken(door.token), at: now(deps) };
  const { purpose, leadId } = door.invitation;
  if (purpose === "sign-in" && leadId !== null) {
    await deps.store.transaction().execute((trx) => useInvitation(trx, used.tokenHash, used.at));
    return await startVisit(deps, reply, leadId, "/lead");
  }
  if (purpose === "reset" && leadId !== null) {
    const parsed = resetSchema.safeParse(form);
    if (!parsed.success) return refuseForm(reply, door, form, errorsByField(parsed.error));
    const hash = await hashPassphrase(parsed.data.passphrase);
    await deps.store.transaction().execute(async (trx) => {
      await setPassphrase(trx, leadId, hash);
      await useInvitation(trx, used.tokenHash, used.at);
    });
    return await startVisit(deps, reply, leadId, "/lead");
  }
  return await enterNewLead(deps, reply, door, form);
}

async function enterNewLead(
  deps: Deps,
  reply: FastifyReply,
  door: { token: string; invitation: Invitation },
  form: RawForm,
): Promise<FastifyReply> {
  const parsed = newLeadSchema.safeParse(form);
  if (!parsed.success) return refuseForm(reply, door, form, errorsByField(parsed.error));
  if ((await leadByName(deps.store, parsed.data.name)) !== undefined) {
    return refuseForm(reply, door, form, { name: "A lead has this name already; choose another" });
  }
  const passphraseHash = await hashPassphrase(parsed.data.passphrase);
  const lead = { id: newToken(deps), name: parsed.data.name, passphraseHash, at: now(deps) };
  await deps.store.transaction().execute(async (trx) => {
    await addLead(trx, lead);
    await useInvitation(trx, hashToken(door.token), lead.at);
  });
  return await startVisit(deps, reply, lead.id, "/lead");
}

function refuseForm(
  reply: FastifyReply,
  door: { token: string; invitation: Invitation },
  form: RawForm,
  errors: FieldErrors,
): FastifyReply {
  reply.code(422);
  return showEnter(reply, door, form, errors);
}

async function startVisit(
  deps: Deps,
  reply: FastifyReply,
  leadId: string,
  next: string,
): Promise<FastifyReply> {
  const token = newToken(deps);
  const visit = { tokenHash: hashToken(token), leadId, at: now(deps) };
  const expiresAt = hoursFrom(deps, VISIT_HOURS);
  await deps.store.transaction().execute((trx) => addVisit(trx, { ...visit, expiresAt }));
  return await reply
    .setCookie(LEAD_COOKIE, token, {
      path: "/",
      httpOnly: true,
      sameSite: "lax",
      signed: true,
      maxAge: VISIT_HOURS * 3600,
    })
    .redirect(next, 303);
}

function hoursFrom(deps: Deps, hours: number): string {
  return new Date(deps.clock().getTime() + hours * 3_600_000).toISOString();
}

/** Only a path of our own: a sign-in form must not send people elsewhere. */
function safeNext(form: RawForm): string {
  const next = textOf(form, "next");
  return /^\/lead(\/[\w/?=&%.-]*)?$/.test(next) ? next : "/lead";
}
