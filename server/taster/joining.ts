import type { FastifyPluginAsync, FastifyReply, FastifyRequest } from "fastify";
import { z } from "zod";
import { leadOf } from "../access.ts";
import { type Deps, hashToken, newToken, now } from "../deps.ts";
import { type PublicRefusal, sendRefusal } from "../errors.ts";
import { errorsByField, formOf, type RawForm, textOf } from "../form.ts";
import { readJoinCode } from "../join-code.ts";
import { type JoinableSession, seatToMove, sessionToJoin, sittingFacts } from "../store/blind.ts";
import { hasSeenKey } from "../store/key-knowers.ts";
import type { Guesses } from "./code-guesses.ts";
import { consentFor } from "./consent.ts";
import { type Offer, showCode, showJoin } from "./join-pages.ts";
import type { Language, Languages } from "./languages.ts";
import type { Messages, NoticeName } from "./messages.ts";
import { languageOf, tell } from "./pages.ts";
import { giveSeat, seatOf } from "./seat.ts";
import { seatingRefusal, sit } from "./seating.ts";

/** Joining a session by the code on its poster: consent first, then the next free seat. */
export function joining(deps: Deps, languages: Languages, guesses: Guesses): FastifyPluginAsync {
  const door = { deps, languages, guesses };
  return async (app) => {
    app.get("/join", { config: { access: "anyone" } }, async (request, reply) =>
      askCode(languages, request, reply),
    );
    app.get("/join/sit-out", { config: { access: "anyone" } }, async (request, reply) =>
      tellNewcomer(request, reply, {
        status: 200,
        notice: "sittingOut",
        language: languageOf(request, languages),
      }),
    );
    app.get<{ Params: { code: string } }>(
      "/join/:code",
      { config: { access: "anyone" } },
      async (request, reply) => await open(door, request, reply, null),
    );
    app.post<{ Params: { code: string } }>(
      "/join/:code",
      { config: { access: "anyone" }, preHandler: app.csrfProtection },
      async (request, reply) => await open(door, request, reply, formOf(request.body)),
    );
  };
}

function askCode(languages: Languages, request: FastifyRequest, reply: FastifyReply): FastifyReply {
  const typed = formOf(request.query).code;
  const language = languageOf(request, languages);
  if (typeof typed !== "string") {
    return showCode(languages, reply, language, { typed: "", error: null });
  }
  const code = readJoinCode(typed);
  if (code !== "") {
    return reply.redirect(`/join/${encodeURIComponent(code)}?language=${language.tag}`, 303);
  }
  reply.code(422);
  return showCode(languages, reply, language, { typed, error: language.messages.codeMissing });
}

function tellNewcomer(
  request: FastifyRequest,
  reply: FastifyReply,
  told: { status: number; notice: NoticeName; language: Language },
): FastifyReply {
  return tell(request, reply, { ...told, seat: null, next: null });
}

interface Door {
  deps: Deps;
  languages: Languages;
  guesses: Guesses;
}

/** The join page of a code, or with a form the taking of a seat. */
async function open(
  door: Door,
  request: FastifyRequest<{ Params: { code: string } }>,
  reply: FastifyReply,
  form: RawForm | null,
): Promise<FastifyReply> {
  const { deps, languages, guesses } = door;
  const language = languageOf(request, languages);
  const code = readJoinCode(request.params.code);
  const own = await seatOf(request, deps);
  if (own?.joinCode === code) return reply.redirect("/taste", 303);
  const guess = await guesses.lookUp(request.ip, () => openedBy(deps, code));
  if (!guess.ok) {
    const { codeTooMany, codeUnknown } = language.messages;
    const isUnknown = guess.refusal === "wrong";
    reply.code(isUnknown ? 404 : 429);
    const field = { typed: code, error: isUnknown ? codeUnknown : codeTooMany };
    return showCode(languages, reply, language, field);
  }
  const session = guess.found;
  if (session === "seat") return reply.redirect(`/seat/${code}`, 303);
  const lead = await leadOf(request, deps);
  if (lead !== null && (await hasSeenKey(deps.store, session.id, lead.id))) {
    return sendRefusal(request, reply, knowsTheKey);
  }
  const notice = seatingRefusal(session);
  if (notice !== null) return tellNewcomer(request, reply, { status: 409, notice, language });
  const facts = await sittingFacts(deps.store, session.id, language.tag);
  const consent = consentFor(facts, language, deps.retentionDays);
  const offer = { language, session, facts, consent };
  if (form === null) {
    const values = { seat: textOf(formOf(request.query), "seat") };
    return showJoin(languages, reply, offer, { values, errors: {} });
  }
  return await join(door, { request, reply }, offer, form);
}

const knowsTheKey: PublicRefusal = {
  status: 409,
  headline: "You have seen the key of this session",
  advice:
    "You are signed in as a lead who opened a sheet or the key, so you can't taste blind. Let others taste; somebody else who uses this device signs you out first.",
};

/** What a code opens: a session, or a seat that moves, whose code is typed in the same place. */
async function openedBy(deps: Deps, code: string): Promise<JoinableSession | "seat" | undefined> {
  const session = await sessionToJoin(deps.store, code);
  if (session !== undefined) return session;
  const offer = await seatToMove(deps.store, hashToken(code), now(deps));
  return offer === undefined ? undefined : "seat";
}

async function join(
  { deps, languages }: Door,
  { request, reply }: { request: FastifyRequest; reply: FastifyReply },
  offer: Offer,
  form: RawForm,
): Promise<FastifyReply> {
  const { language, session, consent } = offer;
  const parsed = joinSchema(language.messages, consent.spit !== null).safeParse(form);
  if (!parsed.success) {
    reply.code(422);
    const errors = errorsByField(parsed.error);
    return showJoin(languages, reply, offer, { values: form, errors });
  }
  const token = newToken(deps);
  const notice = await sit(deps, session.joinCode, {
    sessionId: session.id,
    tokenHash: hashToken(token),
    alias: parsed.data.name,
    language: language.tag,
    consentHash: consent.hash,
    seat: parsed.data.seat,
    at: now(deps),
  });
  if (notice === "nameTaken") {
    reply.code(422);
    const errors = { name: language.messages.nameTaken };
    return showJoin(languages, reply, offer, { values: form, errors });
  }
  if (notice !== null) return tellNewcomer(request, reply, { status: 409, notice, language });
  giveSeat(deps, reply, token);
  return reply.redirect("/taste", 303);
}

function joinSchema(t: Messages, mustSpit: boolean) {
  const ticked = (missing: string) => z.literal("yes", missing);
  return z.object({
    name: z.string(t.nameMissing).trim().min(1, t.nameMissing).max(40, t.nameLong),
    spit: mustSpit ? ticked(t.spitMissing) : z.unknown().optional(),
    consent: ticked(t.consentMissing),
    // A seat card's number; whatever else is sent is no wish for a seat.
    seat: z
      .string()
      .regex(/^\d{1,4}$/)
      .transform(Number)
      .nullable()
      .catch(null),
  });
}
