import type { FastifyPluginAsync, FastifyReply, FastifyRequest } from "fastify";
import { z } from "zod";
import { type Deps, hashToken, newToken, now } from "../deps.ts";
import { errorsByField, type FieldErrors, formOf, type RawForm, textOf } from "../form.ts";
import { readJoinCode } from "../join-code.ts";
import { type JoinableSession, sessionToJoin, sittingFacts } from "../store/blind.ts";
import { appendEvent } from "../store/events.ts";
import { type Joining, takeSeat } from "../store/tasters.ts";
import { countGuesses } from "./code-guesses.ts";
import { type Consent, consentFor } from "./consent.ts";
import type { Language, Languages } from "./languages.ts";
import { type Messages, type NoticeName, say } from "./messages.ts";
import { languageOf, sendPage, tell } from "./pages.ts";
import { giveSeat, seatOf } from "./seat.ts";

type CodeRequest = FastifyRequest<{ Params: { code: string } }>;

/** Joining a session by the code on its poster: consent first, then the next free seat. */
export function joining(deps: Deps, languages: Languages): FastifyPluginAsync {
  const guesses = countGuesses(deps.clock);
  const door = { deps, languages, guesses };
  return async (app) => {
    app.get("/join", { config: { access: "anyone" } }, async (request, reply) =>
      askCode(door, request, reply),
    );
    app.get("/join/sit-out", { config: { access: "anyone" } }, async (request, reply) => {
      const language = languageOf(request, languages);
      const notice = "sittingOut";
      return tell(request, reply, { status: 200, notice, language, seat: null, next: null });
    });
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

interface Door {
  deps: Deps;
  languages: Languages;
  guesses: ReturnType<typeof countGuesses>;
}

function askCode(door: Door, request: FastifyRequest, reply: FastifyReply): FastifyReply {
  const typed = formOf(request.query).code;
  const language = languageOf(request, door.languages);
  if (typeof typed !== "string") return showCode(door, reply, language, { typed: "", error: null });
  const code = readJoinCode(typed);
  if (code !== "") {
    return reply.redirect(`/join/${encodeURIComponent(code)}?language=${language.tag}`, 303);
  }
  reply.code(422);
  return showCode(door, reply, language, { typed, error: language.messages.codeMissing });
}

function showCode(
  { languages }: Door,
  reply: FastifyReply,
  language: Language,
  field: { typed: string; error: string | null },
): FastifyReply {
  const title = language.messages.codeTitle;
  const others = otherLanguages(languages, language, "/join");
  return sendPage(reply, "code", { title, language, seat: null, others, ...field });
}

/** The join page of a code, or with a form the taking of a seat. */
async function open(
  door: Door,
  request: CodeRequest,
  reply: FastifyReply,
  form: RawForm | null,
): Promise<FastifyReply> {
  const { deps, languages, guesses } = door;
  const language = languageOf(request, languages);
  const code = readJoinCode(request.params.code);
  const own = await seatOf(request, deps);
  if (own?.joinCode === code) return reply.redirect("/taste", 303);
  await guesses.slowDown(request.ip);
  const session = await sessionToJoin(deps.store, code);
  if (session === undefined) {
    const over = guesses.noteWrong(request.ip);
    const { codeTooMany, codeUnknown } = language.messages;
    reply.code(over ? 429 : 404);
    const field = { typed: code, error: over ? codeTooMany : codeUnknown };
    return showCode(door, reply, language, field);
  }
  const refusal = refusalOf(session);
  if (refusal !== null) return refuse(request, reply, language, refusal);
  const consent = consentFor(await sittingFacts(deps.store, session.id), language);
  if (form === null) return await showJoin(door, reply, { language, session, consent }, {}, {});
  return await join(door, { request, reply }, { language, session, consent }, form);
}

function refusalOf({ state, hasRoom }: JoinableSession): "joinClosed" | "full" | null {
  if (state === "closed" || state === "unblinded") return "joinClosed";
  return hasRoom ? null : "full";
}

function refuse(
  request: FastifyRequest,
  reply: FastifyReply,
  language: Language,
  notice: NoticeName,
): FastifyReply {
  return tell(request, reply, { status: 409, notice, language, seat: null, next: null });
}

interface Offer {
  language: Language;
  session: JoinableSession;
  consent: Consent;
}

async function showJoin(
  { deps, languages }: Door,
  reply: FastifyReply,
  { language, session, consent }: Offer,
  values: RawForm,
  errors: FieldErrors,
): Promise<FastifyReply> {
  const t = language.messages;
  const { sets, cups } = await sittingFacts(deps.store, session.id);
  const address = `/join/${session.joinCode}`;
  const wrong = Object.entries(errors).map(([name, message]) => ({ href: `#${name}`, message }));
  return sendPage(reply, "join", {
    title: wrong.length > 0 ? `${t.mistake} ${t.joinTitle}` : t.joinTitle,
    language,
    seat: null,
    address,
    others: otherLanguages(languages, language, address),
    amount: say(t.joinText, { sets, cups }),
    cautions: consent.cautions,
    errors: wrong,
    name: { value: textOf(values, "name"), error: errors.name ?? null },
    spit: consent.spit === null ? null : tick(consent.spit, "spit", values, errors),
    consent: tick(t.consentLabel, "consent", values, errors),
  });
}

function tick(label: string, name: string, values: RawForm, errors: FieldErrors) {
  return { id: name, label, checked: textOf(values, name) !== "", error: errors[name] ?? null };
}

function otherLanguages(languages: Languages, current: Language, address: string) {
  return languages.all
    .filter((language) => language !== current)
    .map(({ tag, messages }) => ({
      tag,
      name: messages.languageName,
      href: `${address}?language=${tag}`,
    }));
}

async function join(
  door: Door,
  { request, reply }: { request: FastifyRequest; reply: FastifyReply },
  offer: Offer,
  form: RawForm,
): Promise<FastifyReply> {
  const { deps } = door;
  const { language, session, consent } = offer;
  const parsed = joinSchema(language.messages, consent.spit !== null).safeParse(form);
  if (!parsed.success) {
    reply.code(422);
    return await showJoin(door, reply, offer, form, errorsByField(parsed.error));
  }
  const token = newToken(deps);
  const refusal = await sit(deps, session.joinCode, {
    sessionId: session.id,
    tokenHash: hashToken(token),
    alias: parsed.data.name,
    language: language.tag,
    consentHash: consent.hash,
    at: now(deps),
  });
  if (refusal !== null) return refuse(request, reply, language, refusal);
  deps.live.changed(session.id);
  giveSeat(reply, token);
  return reply.redirect("/taste", 303);
}

function joinSchema(t: Messages, mustSpit: boolean) {
  const ticked = (missing: string) => z.literal("yes", missing);
  return z.object({
    name: z.string(t.nameMissing).trim().min(1, t.nameMissing).max(40, t.nameLong),
    spit: mustSpit ? ticked(t.spitMissing) : z.unknown().optional(),
    consent: ticked(t.consentMissing),
  });
}

/** Takes the next free seat and notes it, together or not at all; or says why it can't be had. */
async function sit(
  deps: Deps,
  joinCode: string,
  joining: Joining,
): Promise<"joinClosed" | "full" | null> {
  return await deps.store.transaction().execute(async (trx) => {
    const session = await sessionToJoin(trx, joinCode);
    const refusal = session === undefined ? "joinClosed" : refusalOf(session);
    if (refusal !== null) return refusal;
    const seat = await takeSeat(trx, joining);
    await appendEvent(trx, joining.sessionId, {
      at: joining.at,
      actor: `seat:${seat.id}`,
      kind: "taster-joined",
      body: { seat: seat.number, consentHash: joining.consentHash },
    });
    return null;
  });
}
