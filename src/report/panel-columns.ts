import type { Endpoint } from "../experiment/endpoint.ts";

/** Columns of an outside panel's answers, with what they hold; a row is one answer to one question. */
export const panelColumns = {
  taster: "name or number of the taster; kept here as t1, t2, …",
  coffee: "name of the coffee as in the plan; may be left out when the plan has one",
  pair: "number of the brew pair, from 1; left out, all answers on a coffee are on one pair of pots",
  repeat: "which time the taster answered this, from 1; left out, it is the first",
  question: "which question, as below; may be left out when the plan asks one",
  chosen: "for “liked better” and “more …”: treatment A or B, or its name; or “can't tell”",
  correct: "where an answer is right or wrong, as for “odd cup”: yes or no",
  score_a: "for a score: points of the cup with treatment A",
  score_b: "for a score: points of the cup with treatment B",
} as const;
export type PanelColumn = keyof typeof panelColumns;

/** How a file names a question; its id (e1, e2, …) does as well. Null when tasters don't answer it. */
export function panelQuestion(endpoint: Endpoint): string | null {
  switch (endpoint.kind) {
    case "overall-difference":
      return overallQuestions[endpoint.method];
    case "attribute-difference":
      return `most ${endpoint.attribute}`;
    case "direction":
      return `more ${endpoint.attribute}`;
    case "preference":
      return "liked better";
    case "attribute-score":
      return endpoint.attribute;
    case "extraction-yield":
      return null;
  }
}

const overallQuestions = {
  triangle: "odd cup",
  "duo-trio": "matched reference",
  tetrad: "right groups",
} as const;
