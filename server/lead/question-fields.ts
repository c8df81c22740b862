import { type Field, type FieldErrors, fieldMaker } from "../form.ts";
import type { Draft } from "../store/experiments.ts";
import { rowsOf } from "./question-rows.ts";

/** A labelled choice as the `select` partial draws it. */
export interface Select {
  id: string;
  name: string;
  label: string;
  hint: string | null;
  error: string | null;
  options: { value: string; label: string; selected: boolean }[];
}

/** One question of the plan form, as its fieldset draws it. */
export interface QuestionFields {
  legend: string;
  explanation: string;
  texts: Field[];
  selects: Select[];
  margin: Field;
}

const roles: [string, string][] = [
  ["primary", "Main question (primary): decides the verdict"],
  ["secondary", "Supporting (secondary): tested, corrected for the number of them"],
  ["exploratory", "Exploratory: shown, proves nothing by itself"],
];

/** The questions of a plan form in its order, each attribute question with one empty row to go on. */
export function questionFields(draft: Draft, errors: FieldErrors): QuestionFields[] {
  const make = makers(draft, errors);
  return [
    make.single("overall", {
      legend: "Can anyone tell them apart?",
      explanation:
        "Triangle test: three cups, two alike; pick the odd one. Finds any difference, says nothing about its direction.",
      margin: make.share("overall"),
    }),
    ...rowsToShow(draft, "direction").map((prefix) => make.direction(prefix)),
    make.single("preference", {
      legend: "Which is liked better?",
      explanation: "Paired preference: two cups, pick one. Always counted both ways (two-sided).",
      margin: make.share("preference"),
    }),
    ...rowsToShow(draft, "score").map((prefix) => make.score(prefix)),
    make.single("yield", {
      legend: "Does extraction change?",
      explanation: "Extraction yield from the brew log, pair by pair; tasters have no part in it.",
      margin: make.points("yield", "points of extraction yield"),
    }),
  ];
}

/** Makes a choice with what was typed selected. */
export function selectMaker(draft: Draft, errors: FieldErrors) {
  return (
    name: string,
    label: string,
    options: readonly [string, string][],
    hint: string | null = null,
  ): Select => ({
    id: name,
    name,
    label,
    hint,
    error: errors[name] ?? null,
    options: options.map(([value, text]) => ({
      value,
      label: text,
      selected: value === (draft[name] ?? ""),
    })),
  });
}

function makers(draft: Draft, errors: FieldErrors) {
  const field = fieldMaker(draft, errors);
  const select = selectMaker(draft, errors);
  const share = (prefix: string) =>
    field(`${prefix}.margin`, "Too small to matter, in % of people (margin)", {
      type: "decimal",
      hint: "The most of 100 people who may truly notice before it matters; 30 is usual.",
    });
  const points = (prefix: string, unit: string) =>
    field(`${prefix}.margin`, `Too small to matter, in ${unit} (margin)`, { type: "decimal" });
  const optionalRole = (prefix: string) =>
    select(`${prefix}.role`, "Ask this?", [["", "Not asked"], ...roles]);
  return {
    share,
    points,
    single: (prefix: string, of: Pick<QuestionFields, "legend" | "explanation" | "margin">) => ({
      ...of,
      texts: [],
      selects: [optionalRole(prefix)],
    }),
    direction: (prefix: string): QuestionFields => ({
      legend: "Which cup is more …?",
      explanation:
        "Paired comparison (2-AFC): two cups, pick the one with more of it. Leave the attribute empty to ask nothing.",
      texts: [
        field(`${prefix}.attribute`, "Attribute", { hint: "One word tasters know: bright, sweet" }),
      ],
      selects: [
        select(`${prefix}.expected`, "Expected beforehand", [
          ["", "Either way (two-sided)"],
          ["A", "A has more (one-sided)"],
          ["B", "B has more (one-sided)"],
        ]),
        select(`${prefix}.role`, "Weight", roles),
      ],
      margin: share(prefix),
    }),
    score: (prefix: string): QuestionFields => ({
      legend: "How strong is …?",
      explanation:
        "Scores on a line scale from 0 to 100, one for each of two cups. Leave the attribute empty to ask nothing.",
      texts: [
        field(`${prefix}.attribute`, "Attribute"),
        field(`${prefix}.lowAnchor`, "Words at 0"),
        field(`${prefix}.highAnchor`, "Words at 100"),
      ],
      selects: [select(`${prefix}.role`, "Weight", roles)],
      margin: points(prefix, "points of the scale"),
    }),
  };
}

/** Filled rows and the next free one. */
function rowsToShow(draft: Draft, kind: "direction" | "score"): string[] {
  const filled = rowsOf(draft, kind);
  const next = Number(filled.at(-1)?.split(".")[1] ?? -1) + 1;
  return next < 12 ? [...filled, `${kind}.${next}`] : filled;
}
