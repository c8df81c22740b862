import type { Deps } from "../deps.ts";
import type { SealedSession } from "../sealed-session.ts";
import { questionnaire, servings, sittingFacts } from "../store/blind.ts";
import { seatNumbers } from "../store/sheets.ts";
import { setView } from "../taster/ballot-form.ts";
import { consentFor } from "../taster/consent.ts";
import type { Language, Languages } from "../taster/languages.ts";
import { say } from "../taster/messages.ts";

const EVERY_LANGUAGE = "all";

/**
 * Every seat's ballots on paper, for a phone that fails: the same sets, codes and words as on the
 * phone, from the blind queries that the phone's pages read. In one language, or each in all.
 */
export async function paperBallots(
  deps: Deps,
  languages: Languages,
  session: SealedSession,
  wish: string,
) {
  const chosen = wish === EVERY_LANGUAGE ? languages.all : [languages.choose(wish)];
  const seats = await seatNumbers(deps.store, session.id);
  const sheets = [];
  for (const seat of seats) {
    const served = (await servings(deps.store, seat.id)).filter(({ voided }) => !voided);
    for (const language of chosen) {
      sheets.push(await ballotSheet(deps, session.id, language, { ...seat, served }));
    }
  }
  const tags = chosen.map(({ tag }) => tag);
  const only = wish === EVERY_LANGUAGE ? EVERY_LANGUAGE : (tags[0] ?? "");
  return {
    title: "Paper ballots",
    sheets,
    choices: [
      ...languages.all.map(({ tag, messages }) => ({
        tag,
        name: messages.languageName,
        chosen: tag === only,
      })),
      {
        tag: EVERY_LANGUAGE,
        name: languages.all.map(({ messages }) => messages.languageName).join(" + "),
        chosen: only === EVERY_LANGUAGE,
      },
    ],
  };
}

interface PaperSeat {
  number: number;
  served: Awaited<ReturnType<typeof servings>>;
}

async function ballotSheet(
  deps: Deps,
  sessionId: string,
  language: Language,
  { number, served }: PaperSeat,
) {
  const t = language.messages;
  const asked = await questionnaire(deps.store, sessionId, language.tag);
  const { allergens, cautions, spit, note } = consentFor(
    await sittingFacts(deps.store, sessionId, language.tag),
    language,
    deps.retentionDays,
  );
  const filling = { values: {}, errors: {} };
  return {
    language: language.tag,
    t,
    seat: say(t.seat, { seat: number }),
    allergens,
    note,
    cautions,
    spit,
    sets: served.map((serving) =>
      setView(t, asked, { serving, sets: served.length, key: "" }, filling),
    ),
  };
}
