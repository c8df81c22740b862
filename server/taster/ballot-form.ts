import {
  type AnswerIssue,
  type BallotForm,
  CANNOT_TELL,
  choosable,
  mayTellNothing,
  scoreField,
} from "../../src/experiment/ballot.ts";
import type { SetKind } from "../../src/experiment/endpoint.ts";
import { type FieldErrors, type RawForm, textOf } from "../form.ts";
import type { Question, Questionnaire, Serving } from "../store/blind.ts";
import { type Messages, say } from "./messages.ts";

/** One set as its form shows it. Every set of a kind has the same shape: codes are all that differs. */
export interface SetView {
  ordinal: number;
  /** Where its form is sent. */
  action: string;
  heading: string;
  reviewHeading: string;
  key: string;
  /** How to take one's time: rest, and how long cups are at their best. */
  pace: string[];
  /** Says of each cup that was poured anew which number it has now. */
  poured: string[];
  questions: QuestionView[];
  comment: { id: string; value: string; error: string | null };
}

export interface QuestionView {
  id: string;
  name: string;
  legend: string;
  hint: string | null;
  error: string | null;
  /** Big buttons in serving order; null when the question is a score. */
  tiles: { id: string; value: string; label: string; isCode: boolean; checked: boolean }[] | null;
  /** A tile holds two groups of cups, and needs the whole width. */
  wide: boolean;
  /** One number a cup, in serving order; null when the question is a choice. */
  scores: ScoreView[] | null;
}

interface ScoreView {
  id: string;
  name: string;
  label: string;
  code: string;
  value: string;
  error: string | null;
  missing: string;
}

/** What a form is filled with: nothing, or what was typed and what was wrong with it. */
export interface Filling {
  values: RawForm;
  errors: FieldErrors;
}

/** What the rule for reading answers needs of a presentation. */
export function ballotForm(asked: Questionnaire, serving: Serving): BallotForm {
  const { cannotTellAllowed } = asked;
  const { setKind: set, codes } = serving;
  return { set, questions: asked.questions[set], codes, cannotTellAllowed };
}

/** The form of one presentation. */
export function setView(
  t: Messages,
  asked: Questionnaire,
  set: { serving: Serving; sets: number; key: string },
  filling: Filling,
): SetView {
  const { ordinal } = set.serving;
  const form = { t, asked, serving: set.serving, filling };
  return {
    ordinal,
    action: `/taste/${ordinal}`,
    heading: say(t.setOf, { set: ordinal, sets: set.sets }),
    reviewHeading: say(t.reviewTitle, { set: ordinal }),
    key: set.key,
    pace: paceOf(t, asked),
    poured: set.serving.replaced.map((cup) => say(t.poured, cup)),
    questions: asked.questions[set.serving.setKind].map((question) => questionView(form, question)),
    comment: {
      id: `s${ordinal}-comment`,
      value: textOf(filling.values, "comment"),
      error: filling.errors.comment ?? null,
    },
  };
}

function paceOf(t: Messages, { palateRestSeconds, windowMinutes }: Questionnaire): string[] {
  const rest = palateRestSeconds === null ? [] : [say(t.rest, { seconds: palateRestSeconds })];
  const window = windowMinutes === null ? [] : [say(t.window, { minutes: windowMinutes })];
  return [...rest, ...window];
}

interface FormParts {
  t: Messages;
  asked: Questionnaire;
  serving: Serving;
  filling: Filling;
}

function questionView(form: FormParts, question: Question): QuestionView {
  const { t, serving, filling } = form;
  const isScore = question.kind === "attribute-score";
  const mayPass = form.asked.cannotTellAllowed && mayTellNothing(question);
  return {
    id: fieldId(serving.ordinal, question.id),
    name: question.id,
    legend: wording(t, question),
    hint: isScore
      ? say(t.scale, { low: question.lowAnchor, high: question.highAnchor })
      : choiceHint(form, mayPass),
    error: filling.errors[question.id] ?? null,
    tiles: isScore ? null : tiles(form, question.id, mayPass),
    wide: serving.setKind === "tetrad",
    scores: isScore ? scores(form, question.id) : null,
  };
}

/** What helps to choose; the reference's number where there is one. */
function choiceHint({ t, serving }: FormParts, mayPass: boolean): string | null {
  const [first] = serving.codes;
  const reference = serving.setKind === "duo-trio" ? [say(t.reference, { code: first ?? "" })] : [];
  const hints = [...reference, ...(mayPass ? [] : [t.guess])];
  return hints.length === 0 ? null : hints.join(" ");
}

/** What a question asks, in the taster's language; the lead's own words stay as they are. */
export function wording(t: Messages, question: Question): string {
  switch (question.kind) {
    case "overall-difference":
      return { triangle: t.oddCup, "duo-trio": t.likeReference, tetrad: t.twoGroups }[
        question.method
      ];
    case "attribute-difference":
      return say(t.mostOf, { attribute: question.attribute });
    case "preference":
      return t.likedBetter;
    case "direction":
      return say(t.moreOf, { attribute: question.attribute });
    case "attribute-score":
      return say(t.howStrong, { attribute: question.attribute });
  }
}

function tiles({ t, serving, filling }: FormParts, name: string, mayPass: boolean) {
  const chosen = textOf(filling.values, name);
  const { setKind, codes } = serving;
  const options = choosable(setKind, codes).map((code) => ({
    value: code,
    label: chosenText(setKind, codes, code),
    isCode: true,
  }));
  if (mayPass) options.push({ value: CANNOT_TELL, label: t.cannotTell, isCode: false });
  return options.map((option, at) => ({
    ...option,
    // The first one has the question's own id, so that a message can lead to it.
    id: fieldId(serving.ordinal, at === 0 ? name : `${name}-${at + 1}`),
    checked: option.value === chosen,
  }));
}

/** A choice as it is shown: the cup's code, or in a tetrad the two groups, the first cup's first. */
export function chosenText(set: SetKind, codes: readonly string[], chosen: string): string {
  const [first] = codes;
  if (set !== "tetrad" || first === undefined) return chosen;
  const others = codes.filter((code) => code !== first && code !== chosen);
  // A group stays on one line.
  const group = (cups: string[]) => cups.join("\u00a0+\u00a0");
  return `${group([first, chosen])} / ${group(others)}`;
}

function scores({ t, serving, filling }: FormParts, questionId: string): ScoreView[] {
  return serving.codes.map((code) => {
    const name = scoreField(questionId, code);
    return {
      id: fieldId(serving.ordinal, name),
      name,
      label: say(t.cup, { code }),
      code,
      value: textOf(filling.values, name),
      error: filling.errors[name] ?? null,
      missing: say(t.setScore, { code }),
    };
  });
}

export function fieldId(ordinal: number, name: string): string {
  return `s${ordinal}-${name}`;
}

/** What to say at each field that can't be read. */
export function complaints(t: Messages, issues: readonly AnswerIssue[]): FieldErrors {
  return Object.fromEntries(issues.map((issue) => [issue.field, complaint(t, issue)]));
}

function complaint(t: Messages, { field, issue }: AnswerIssue): string {
  const code = field.split("-")[1];
  switch (issue) {
    case "not-on-tray":
      return t.notOnTray;
    case "not-a-score":
      return say(t.notAScore, { code: code ?? "" });
    case "not-grouped":
      return t.chooseGroups;
    case "missing":
      return code === undefined ? t.chooseCup : say(t.setScore, { code });
  }
}
