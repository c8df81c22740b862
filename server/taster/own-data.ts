import type { FastifyPluginAsync } from "fastify";
import type { Answer } from "../../src/experiment/ballot.ts";
import type { Deps } from "../deps.ts";
import { questionnaire, type Seat } from "../store/blind.ts";
import { type OwnRecord, ownRecord } from "../store/own-record.ts";
import { answersCanBeVoided } from "../withdrawal.ts";
import { chosenText, wording } from "./ballot-form.ts";
import type { Language, Languages } from "./languages.ts";
import { type Messages, say } from "./messages.ts";
import { sendPage } from "./pages.ts";
import { seatOf } from "./seat.ts";

/** What is kept about a taster: to read, and to take along as JSON. */
export function ownData(deps: Deps, languages: Languages): FastifyPluginAsync {
  return async (app) => {
    const config = { access: "seat" as const };
    app.get("/taste/data", { config }, async (request, reply) => {
      const seat = await seatOf(request, deps);
      if (seat === undefined) return reply.redirect("/join", 303);
      const language = languages.choose(seat.language);
      const record = await recordOf(deps, seat);
      const asked = await wordings(deps, seat, language);
      return sendPage(reply, "data", {
        title: language.messages.dataTitle,
        language,
        seat,
        record: record.person,
        agreed: say(language.messages.dataConsented, {
          at: moment(record.person?.agreedAt ?? ""),
        }),
        lines: linesOf(language.messages, record, asked),
        later: answersCanBeVoided(seat),
      });
    });
    app.get("/taste/data.json", { config }, async (request, reply) => {
      const seat = await seatOf(request, deps);
      if (seat === undefined) return reply.redirect("/join", 303);
      return reply
        .header("content-disposition", 'attachment; filename="my-tasting.json"')
        .header("cache-control", "no-store")
        .send(await recordOf(deps, seat));
    });
  };
}

/** Answers come back once the session has closed: until then nobody looks at the last set's again. */
async function recordOf(deps: Deps, seat: Seat): Promise<OwnRecord> {
  return await ownRecord(deps.store, seat.id, { answers: !answersCanBeVoided(seat) });
}

async function wordings(
  deps: Deps,
  seat: Seat,
  language: Language,
): Promise<ReadonlyMap<string, string>> {
  const { questions } = await questionnaire(deps.store, seat.sessionId, language.tag);
  const all = Object.values(questions).flat();
  return new Map(all.map((question) => [question.id, wording(language.messages, question)]));
}

function linesOf(t: Messages, record: OwnRecord, asked: ReadonlyMap<string, string>) {
  return record.sets.map((set) => ({
    received: say(t.dataReceived, { set: set.set, at: moment(set.receivedAt) }),
    answers: Object.entries(set.answers ?? {}).map(([id, answer]) => ({
      question: asked.get(id) ?? id,
      answer: answerText(t, set, answer),
    })),
    comment: set.comment === undefined ? null : say(t.dataComment, { text: set.comment }),
  }));
}

function answerText(
  t: Messages,
  { kind, codes }: OwnRecord["sets"][number],
  answer: Answer,
): string {
  if ("cannotTell" in answer) return t.cannotTell;
  if ("chosen" in answer) return chosenText(kind, codes, answer.chosen);
  return Object.entries(answer.scores)
    .map(([code, score]) => `${code}: ${score}`)
    .join(", ");
}

/** `2026-03-02 09:14 UTC`. */
function moment(at: string): string {
  return `${at.slice(0, 16).replace("T", " ")} UTC`;
}
