import type { FastifyReply, FastifyRequest } from "fastify";
import { formOf } from "../form.ts";
import type { Seat } from "../store/blind.ts";
import type { Language, Languages } from "./languages.ts";
import { type NoticeName, say } from "./messages.ts";

/** What the taster's layout needs of a page, beside the fields of its template. */
export type TasterPage = { title: string } & Record<string, unknown>;

/** Sends one of the taster's pages in a language; `seat` is null for who has none. */
export function sendPage(
  reply: FastifyReply,
  template: string,
  page: TasterPage & { language: Language; seat: Seat | null },
): FastifyReply {
  const { language, seat, ...fields } = page;
  const t = language.messages;
  return reply.page(`taster/${template}`, {
    refreshes: false,
    canStop: seat !== null,
    stamp: null,
    ...fields,
    language: language.tag,
    t,
    paused: seat?.state === "open" && seat.paused ? t.notices.paused : null,
    seatName: seat && say(t.seat, { seat: seat.number }),
    // Where this phone keeps its answers; another session or seat keeps its own.
    shelf: seat && `${seat.joinCode}-${seat.number}`,
    seatNumber: seat?.number ?? null,
  });
}

/** What a taster is told when something can't be done, or is done with. */
export interface Told {
  status: number;
  notice: NoticeName;
  language: Language;
  seat: Seat | null;
  /** Where “Go on” leads; null when there is nowhere to go. */
  next: string | null;
}

/** Answers with a notice: a page, or for the script the same words as JSON. */
export function tell(request: FastifyRequest, reply: FastifyReply, told: Told): FastifyReply {
  const { title, text } = told.language.messages.notices[told.notice];
  reply.code(told.status);
  if (wantsJson(request)) return sendOutcome(reply, told.notice, `${title}. ${text}`);
  const { language, seat, next } = told;
  return sendPage(reply, "notice", { title, text, next, language, seat });
}

/** The script's answer: one word that it acts on, and what the taster is told. */
export function sendOutcome(reply: FastifyReply, outcome: string, message: string): FastifyReply {
  return reply.header("cache-control", "no-store").send({ outcome, message });
}

/** The page's script asks for JSON; a form sent by the browser doesn't. */
export function wantsJson(request: FastifyRequest): boolean {
  return request.headers.accept === "application/json";
}

/** The language of who has no seat yet: as asked for in the address or form, else as the browser wishes. */
export function languageOf(request: FastifyRequest, languages: Languages): Language {
  const asked = formOf(request.body).language ?? formOf(request.query).language;
  return languages.choose(asked, request.headers["accept-language"]);
}
