import type { FastifyPluginAsync, FastifyReply } from "fastify";
import { type Deps, hashToken, newToken, now } from "../deps.ts";
import { notFound, sendRefusal } from "../errors.ts";
import {
  errorSummary,
  errorsByField,
  type FieldErrors,
  fieldMaker,
  formOf,
  type RawForm,
} from "../form.ts";
import { hashPassphrase, SHORTEST_PASSPHRASE } from "../passphrase.ts";
import {
  addLead,
  type Invitation,
  leadByName,
  openInvitation,
  setPassphrase,
  useInvitation,
} from "../store/leads.ts";
import { newLeadSchema, resetSchema } from "./passphrase-form.ts";
import { startVisit } from "./visit.ts";

const strictRate = { max: 10, timeWindow: "1 minute" };

interface Door {
  token: string;
  invitation: Invitation;
}

/** Entering by a link that works once: the first visit, an invited lead, a reset, a sign-in link. */
export function enter(deps: Deps): FastifyPluginAsync {
  return async (app) => {
    const config = { access: "anyone" as const, rateLimit: strictRate };
    app.get<{ Params: { token: string } }>("/enter/:token", { config }, async (request, reply) => {
      const door = await doorOf(deps, request.params.token);
      if (door === null) return sendRefusal(request, reply, usedInvitation);
      return showEnter(reply, door, {}, {});
    });
    app.post<{ Params: { token: string } }>(
      "/enter/:token",
      { config, preHandler: app.csrfProtection },
      async (request, reply) => {
        const door = await doorOf(deps, request.params.token);
        if (door === null) return sendRefusal(request, reply, usedInvitation);
        return await answerEnter(deps, reply, door, formOf(request.body));
      },
    );
  };
}

async function doorOf(deps: Deps, token: string): Promise<Door | null> {
  const invitation = await openInvitation(deps.store, hashToken(token), now(deps));
  return invitation === undefined ? null : { token, invitation };
}

const usedInvitation = {
  ...notFound,
  headline: "This link has been used or has expired",
  advice:
    "Sign in with your passphrase, ask a colleague for a new invitation, or run `evenpour lead reset NAME` on the server.",
};

function showEnter(
  reply: FastifyReply,
  door: Door,
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
  door: Door,
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
  door: Door,
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
  door: Door,
  form: RawForm,
  errors: FieldErrors,
): FastifyReply {
  reply.code(422);
  return showEnter(reply, door, form, errors);
}
