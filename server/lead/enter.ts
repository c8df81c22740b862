import type { FastifyPluginAsync, FastifyReply, FastifyRequest } from "fastify";
import type { Transaction } from "kysely";
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
import { bearerOf } from "../store/colleagues.ts";
import {
  addLead,
  type Invitation,
  openInvitation,
  setPassphrase,
  useInvitation,
} from "../store/leads.ts";
import type { Database } from "../store/schema.ts";
import { nameTaken, takenBy } from "./lead-name.ts";
import { newLeadSchema, resetSchema } from "./passphrase-form.ts";
import { giveVisit, openVisit } from "./visit.ts";

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
        return await answerEnter(deps, request, reply, door);
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
  headline: "This link has been used, was cancelled or has expired",
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
  const asksName = door.invitation.purpose === "set-up" || door.invitation.purpose === "invite";
  return reply.page("lead/enter", {
    title: titles[door.invitation.purpose],
    token: door.token,
    errors: errorSummary(errors),
    typedAgain: `${asksName ? "The name you typed is still here. " : ""}Passphrases are never sent back: type yours twice again.`,
    asksName,
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
  request: FastifyRequest,
  reply: FastifyReply,
  door: Door,
): Promise<FastifyReply> {
  const form = formOf(request.body);
  const entry = await readEntry(door.invitation, form);
  if (!entry.ok) return refuseForm(reply, door, form, entry.errors);
  const entered = await enterBy(deps, door, entry.value);
  if (entered.ok) return await giveVisit(deps, reply, entered.visitToken, "/lead");
  if (entered.refusal === "used") return sendRefusal(request, reply, usedInvitation);
  return refuseForm(reply, door, form, { name: nameTaken[entered.refusal] });
}

/** What the form of an invitation asks for: nothing, a new passphrase, or a name with one. */
async function readEntry(
  { purpose, leadId }: Invitation,
  form: RawForm,
): Promise<{ ok: true; value: Entry } | { ok: false; errors: FieldErrors }> {
  if (purpose === "sign-in" && leadId !== null) return { ok: true, value: { leadId } };
  if (purpose === "reset" && leadId !== null) {
    const parsed = resetSchema.safeParse(form);
    if (!parsed.success) return { ok: false, errors: errorsByField(parsed.error) };
    const passphraseHash = await hashPassphrase(parsed.data.passphrase);
    return { ok: true, value: { leadId, passphraseHash } };
  }
  const parsed = newLeadSchema.safeParse(form);
  if (!parsed.success) return { ok: false, errors: errorsByField(parsed.error) };
  const passphraseHash = await hashPassphrase(parsed.data.passphrase);
  return { ok: true, value: { name: parsed.data.name, passphraseHash } };
}

type Entry =
  | { leadId: string }
  | { leadId: string; passphraseHash: string }
  | { name: string; passphraseHash: string };

type Entered =
  | { ok: true; visitToken: string }
  | { ok: false; refusal: "used" | keyof typeof nameTaken };

/** Spends the link and opens a visit, together or not at all: of two at once the later is refused. */
async function enterBy(deps: Deps, door: Door, entry: Entry): Promise<Entered> {
  const tokenHash = hashToken(door.token);
  const at = now(deps);
  return await deps.store.transaction().execute(async (trx) => {
    const bearer = "name" in entry ? await bearerOf(trx, entry.name) : undefined;
    if (bearer !== undefined) {
      const isOpen = (await openInvitation(trx, tokenHash, at)) !== undefined;
      return { ok: false, refusal: isOpen ? takenBy(bearer) : "used" };
    }
    if (!(await useInvitation(trx, tokenHash, at))) return { ok: false, refusal: "used" };
    const leadId = await leadOf(trx, deps, entry);
    return { ok: true, visitToken: await openVisit(trx, deps, leadId) };
  });
}

async function leadOf(trx: Transaction<Database>, deps: Deps, entry: Entry): Promise<string> {
  if ("name" in entry) {
    const lead = { ...entry, id: newToken(deps), at: now(deps) };
    await addLead(trx, lead);
    return lead.id;
  }
  if ("passphraseHash" in entry) await setPassphrase(trx, entry.leadId, entry.passphraseHash);
  return entry.leadId;
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
