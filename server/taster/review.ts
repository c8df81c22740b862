import { type Answer, type Answers, cupCodeSchema } from "../../src/experiment/ballot.ts";
import type { Question, Questionnaire, Serving } from "../store/blind.ts";
import { chosenText, wording } from "./ballot-form.ts";
import type { Messages } from "./messages.ts";

/** A set shown once more before it is locked. */
export interface ReviewView {
  answers: { question: string; lines: { text: string; isCode: boolean }[] }[];
  /** The answers as form fields, to be sent with the lock. */
  kept: { name: string; value: string }[];
}

export function reviewOf(
  t: Messages,
  asked: Questionnaire,
  serving: Serving,
  given: { answers: Answers; fields: Readonly<Record<string, unknown>> },
): ReviewView {
  const questions = asked.questions[serving.setKind];
  return {
    answers: questions.map((question) => ({
      question: wording(t, question),
      lines: lines(t, serving, given.answers[question.id]),
    })),
    kept: Object.entries(given.fields).flatMap(([name, value]) =>
      isAnswer(questions, name) && typeof value === "string" ? [{ name, value }] : [],
    ),
  };
}

function lines(t: Messages, { setKind, codes }: Serving, answer: Answer | undefined) {
  if (answer === undefined) return [];
  if ("cannotTell" in answer) return [{ text: t.cannotTell, isCode: false }];
  if ("chosen" in answer) {
    return [{ text: chosenText(setKind, codes, answer.chosen), isCode: true }];
  }
  return codes.map((code) => ({ text: `${code}: ${answer.scores[code]}`, isCode: false }));
}

function isAnswer(questions: readonly Question[], name: string): boolean {
  const [id, code] = name.split("-");
  const known = questions.some((question) => question.id === id);
  return known && (code === undefined || cupCodeSchema.safeParse(code).success);
}
