import { z } from "zod";
import { type Endpoint, isRightOrWrong, SCALE_MAXIMUM, type SetKind, setOf } from "./endpoint.ts";

/** A cup's three digits; the first is never 0. */
export const cupCodeSchema = z.string().regex(/^[1-9][0-9]{2}$/, "A cup code has three digits");

const choiceSchema = z.strictObject({ chosen: cupCodeSchema });
const cannotTellSchema = z.strictObject({ cannotTell: z.literal(true) });
const scoresSchema = z.strictObject({
  scores: z.record(cupCodeSchema, z.int().min(0).max(SCALE_MAXIMUM)),
});

/** One answer: the chosen cup, "can't tell", or a score for each cup. */
export const answerSchema = z.union([choiceSchema, cannotTellSchema, scoresSchema]);
export type Answer = z.infer<typeof answerSchema>;

/** Answers of one ballot by endpoint id, as they are stored. */
export const answersSchema = z.record(z.string().regex(/^e[1-9][0-9]?$/), answerSchema);
export type Answers = z.infer<typeof answersSchema>;

/** What the phone makes for each ballot so that a retry can't count twice. */
export const idempotencyKeySchema = z.string().regex(/^[A-Za-z0-9_-]{16,64}$/);

export const commentSchema = z.string().trim().max(500, "Keep the comment under 500 characters");

/** The questions one set asks, in the plan's order. */
export function questionsFor(endpoints: readonly Endpoint[], set: SetKind): Endpoint[] {
  return endpoints.filter((endpoint) => setOf(endpoint) === set);
}

type AskedQuestion = Pick<Endpoint, "id" | "kind">;

/**
 * The cups that an answer can name: all of them, except the open reference of a duo-trio, and the
 * first cup of a tetrad, whose two groups are told by the cup that goes with it.
 */
export function choosable(set: SetKind, codes: readonly string[]): readonly string[] {
  return codes.slice(firstPlace(set) - 1);
}

/** Serving position of the first cup that can be chosen. */
export function firstPlace(set: SetKind): number {
  return set === "duo-trio" || set === "tetrad" ? 2 : 1;
}

/** What is asked of one presentation: its questions and the codes on the tray, in serving order. */
export interface BallotForm {
  set: SetKind;
  /** Without margins and expectations: what reads a ballot need not know them. */
  questions: readonly AskedQuestion[];
  codes: readonly string[];
  cannotTellAllowed: boolean;
}

export interface AnswerIssue {
  /** Name of the form field: `e2` for a choice, `e3-417` for the score of cup 417. */
  field: string;
  issue: "missing" | "not-grouped" | "not-on-tray" | "not-a-score";
}

/** The form field that holds the score of one cup. */
export const scoreField = (endpointId: string, code: string) => `${endpointId}-${code}`;

/** The value a choice field holds for "can't tell". */
export const CANNOT_TELL = "cannot-tell";

/**
 * Reads a ballot's form fields into answers.
 * Every question must be answered; a chosen code must be on the tray; a score is a whole point of
 * the scale. Answers or the list of issues by field, never a mixture.
 */
export function readAnswers(
  form: BallotForm,
  fields: Readonly<Record<string, unknown>>,
): { ok: true; answers: Answers } | { ok: false; issues: AnswerIssue[] } {
  const answers: Answers = {};
  const issues: AnswerIssue[] = [];
  for (const question of form.questions) {
    const read =
      question.kind === "attribute-score"
        ? readScores(question.id, form.codes, fields)
        : readChoice(question, form, fields);
    if (read.ok) answers[question.id] = read.answer;
    else issues.push(...read.issues);
  }
  return issues.length > 0 ? { ok: false, issues } : { ok: true, answers };
}

type Read = { ok: true; answer: Answer } | { ok: false; issues: AnswerIssue[] };

function readChoice(
  question: AskedQuestion,
  form: BallotForm,
  fields: Record<string, unknown>,
): Read {
  const value = fields[question.id];
  if (typeof value !== "string" || value === "") {
    const issue = form.set === "tetrad" ? "not-grouped" : "missing";
    return { ok: false, issues: [{ field: question.id, issue }] };
  }
  const mayPass = form.cannotTellAllowed && mayTellNothing(question);
  if (value === CANNOT_TELL && mayPass) return { ok: true, answer: { cannotTell: true } };
  if (!choosable(form.set, form.codes).includes(value)) {
    return { ok: false, issues: [{ field: question.id, issue: "not-on-tray" }] };
  }
  return { ok: true, answer: { chosen: value } };
}

/** Where answers are right or wrong, guessers are part of the null and can't be dropped (ISO 4120). */
export function mayTellNothing(question: Pick<AskedQuestion, "kind">): boolean {
  return !isRightOrWrong(question);
}

function readScores(id: string, codes: readonly string[], fields: Record<string, unknown>): Read {
  const scores: Record<string, number> = {};
  const issues: AnswerIssue[] = [];
  for (const code of codes) {
    const field = scoreField(id, code);
    const value = fields[field];
    if (typeof value !== "string" || value.trim() === "") issues.push({ field, issue: "missing" });
    else if (!/^\d{1,3}$/.test(value.trim()) || Number(value) > SCALE_MAXIMUM) {
      issues.push({ field, issue: "not-a-score" });
    } else scores[code] = Number(value);
  }
  return issues.length > 0 ? { ok: false, issues } : { ok: true, answer: { scores } };
}
