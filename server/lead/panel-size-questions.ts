import type { PanelQuestion } from "../../src/report/planning/panel-test.ts";
import type { MethodName } from "../../src/statistics/methods/method.ts";

export type QuestionName = PanelQuestion["kind"];

/** A plain question, the method proposed for it, and why. */
export interface AskedQuestion {
  name: QuestionName;
  asks: string;
  method: string;
  /** What the trade and the standards call it. */
  tradeName: string;
  reason: string;
}

/** The plain questions in the order that people ask them. */
export const questions: readonly AskedQuestion[] = [
  {
    name: "apart",
    asks: "Can anyone tell them apart?",
    method: "Three cups, two of them alike: which is the odd one?",
    tradeName: "triangle test, one-sided (ISO 4120)",
    reason:
      "It finds any difference without naming it beforehand, and luck is right only one time in three. It says nothing about which way the cups differ.",
  },
  {
    name: "more",
    asks: "Which has more of something?",
    method: "Two cups: which has more of it?",
    tradeName: "paired comparison, 2-AFC (ISO 5495)",
    reason:
      "When you can name what should differ, two cups find it with far fewer tasters than three, and say which way it goes.",
  },
  {
    name: "liked",
    asks: "Which is liked better?",
    method: "Two cups: which do you like better?",
    tradeName: "paired preference, always two-sided (ISO 5495)",
    reason:
      "Liking is a question of its own: it is never read off a test of difference. Either cup may win, so it is counted both ways. Ask drinkers, not trained tasters.",
  },
  {
    name: "scores",
    asks: "How much do they differ?",
    method: "Two cups, each scored on one line from 0 to 100",
    tradeName: "line scale with paired scores (ISO 4121)",
    reason:
      "Only scores say how large a difference is. Each taster is compared with themselves, so that generous and strict scorers don't matter.",
  },
  {
    name: "same",
    asks: "Are they close enough?",
    method: "Three cups, two of them alike, and a margin set beforehand",
    tradeName: "triangle test for similarity (ISO 4120)",
    reason:
      "Not finding a difference proves nothing. Closeness has to be shown: so few are right that, allowing for luck, fewer people than the margin can tell. And it has to be shown on every coffee.",
  },
  {
    name: "yield",
    asks: "Do brews extract alike?",
    method: "Extraction yield of both pots of every brew pair; tasters have no part in it",
    tradeName: "two one-sided t tests (TOST) on brew pairs",
    reason:
      "Yield belongs to a pot, so pots are counted. Alike means that the mean difference lies within the margin, not that no difference was found.",
  },
];

/** The methods that are compared by what they take, and what each presupposes. */
export const otherMethodWords: Readonly<Record<MethodName, { name: string; asks: string }>> = {
  triangle: { name: "Triangle: the odd one of three", asks: "nothing" },
  tetrad: { name: "Tetrad: two groups of two", asks: "nothing but the fourth cup" },
  "duo-trio": { name: "Duo-trio: match a reference", asks: "nothing; easiest for people" },
  "paired-comparison": {
    name: "Paired comparison, two-sided (2-AFC)",
    asks: "to name beforehand what should differ",
  },
  "three-afc": {
    name: "Most of three (3-AFC)",
    asks: "to name beforehand what should differ, and which has more",
  },
};

/** The question of that name, if there is one. */
export function questionNamed(name: string): AskedQuestion | undefined {
  return questions.find((question) => question.name === name);
}
