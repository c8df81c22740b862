import type { FastifyReply } from "fastify";
import { type FieldErrors, type RawForm, textOf } from "../form.ts";
import type { JoinableSession, SittingFacts } from "../store/blind.ts";
import type { Consent } from "./consent.ts";
import type { Language, Languages } from "./languages.ts";
import { say } from "./messages.ts";
import { sendPage } from "./pages.ts";

/** The page with the one field for the code on the poster. */
export function showCode(
  languages: Languages,
  reply: FastifyReply,
  language: Language,
  field: { typed: string; error: string | null },
): FastifyReply {
  const title = language.messages.codeTitle;
  const others = otherLanguages(languages, language, "/join", null);
  return sendPage(reply, "code", { title, language, seat: null, others, ...field });
}

/** A seat as it is offered: in which session, and what its taster must agree to. */
export interface Offer {
  language: Language;
  session: JoinableSession;
  facts: SittingFacts;
  consent: Consent;
}

/** The page that asks for a name and consent, empty or with what was typed and what is wrong. */
export function showJoin(
  languages: Languages,
  reply: FastifyReply,
  { language, session, facts, consent }: Offer,
  filling: { values: RawForm; errors: FieldErrors },
): FastifyReply {
  const t = language.messages;
  const { values, errors } = filling;
  const address = `/join/${session.joinCode}`;
  const seatWish = /^\d{1,4}$/.test(textOf(values, "seat")) ? textOf(values, "seat") : null;
  const wrong = Object.entries(errors).map(([name, message]) => ({ href: `#${name}`, message }));
  return sendPage(reply, "join", {
    title: wrong.length > 0 ? `${t.mistake} ${t.joinTitle}` : t.joinTitle,
    language,
    seat: null,
    address,
    others: otherLanguages(languages, language, address, seatWish),
    seatWish,
    amount: say(t.joinText, { sets: facts.sets, cups: facts.cups }),
    allergens: consent.allergens,
    note: consent.note,
    cautions: consent.cautions,
    kept: consent.kept,
    errors: wrong,
    name: { value: textOf(values, "name"), error: errors.name ?? null },
    spit: consent.spit === null ? null : tick(consent.spit, "spit", values, errors),
    consent: tick(t.consentLabel, "consent", values, errors),
  });
}

function otherLanguages(
  languages: Languages,
  current: Language,
  address: string,
  seatWish: string | null,
) {
  const seat = seatWish === null ? "" : `&seat=${seatWish}`;
  return languages.all
    .filter((language) => language !== current)
    .map(({ tag, messages }) => ({
      tag,
      name: messages.languageName,
      href: `${address}?language=${tag}${seat}`,
    }));
}

function tick(label: string, name: string, values: RawForm, errors: FieldErrors) {
  return { id: name, label, checked: textOf(values, name) !== "", error: errors[name] ?? null };
}
