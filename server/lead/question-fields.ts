import { type Field, type FieldErrors, fieldMaker } from "../form.ts";
import type { Draft } from "../store/experiments.ts";
import { rowsOf, THREE_CUPS } from "./question-rows.ts";
import { type Select, selectMaker } from "./select.ts";

/** One question of the plan form, as its fieldset draws it. */
export interface QuestionFields {
  legend: string;
  explanation: string;
  texts: Field[];
  selects: Select[];
  margin: Field;
  /** A free row, folded away under these words; null for a question that stands open. */
  invitation: string | null;
}

const roles: [string, string][] = [
  ["primary", "Main question (primary)"],
  ["secondary", "Supporting (secondary)"],
  ["exploratory", "Exploratory"],
];

const methodChoices: [string, string][] = [
  ["triangle", "Triangle: pick the odd one of three (ISO 4120)"],
  ["duo-trio balanced", "Duo-trio: match a reference, A and B in turn (ISO 10399)"],
  ["duo-trio A", "Duo-trio: match a reference, always A"],
  ["duo-trio B", "Duo-trio: match a reference, always B"],
  ["tetrad", "Tetrad: make two groups of two"],
];

/** The questions of a plan form in its order, each attribute question with one empty row to go on. */
export function questionFields(typed: Draft, errors: FieldErrors): QuestionFields[] {
  const draft = withFreeRows(typed);
  const make = makers(draft, errors);
  return [
    make.single("overall", {
      legend: "Can anyone tell them apart?",
      explanation:
        "Finds any difference, says nothing about its direction. Triangle: the usual one. Duo-trio: easier on people, but takes more of them. Tetrad: takes fewest people for the same difference, but four cups a set. The same margin in % is another size of difference in each; “Panel size” compares what they take.",
      margin: make.share("overall"),
      method: true,
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
  const isFree = (prefix: string) => (draft[`${prefix}.attribute`] ?? "").trim() === "";
  const optionalRole = (prefix: string) =>
    select(`${prefix}.role`, "Ask this?", [["", "Not asked"], ...roles]);
  return {
    share,
    points,
    single: (
      prefix: string,
      {
        method = false,
        ...of
      }: Pick<QuestionFields, "legend" | "explanation" | "margin"> & {
        method?: boolean;
      },
    ) => ({
      ...of,
      invitation: null,
      texts: [],
      selects: [
        optionalRole(prefix),
        ...(method ? [select(`${prefix}.method`, "Method", methodChoices)] : []),
      ],
    }),
    direction: (prefix: string): QuestionFields => ({
      invitation: isFree(prefix) ? "Ask which cup has more of something…" : null,
      legend: "Which cup has more …?",
      explanation:
        "Two cups: pick the one with more of it; needs the fewest cups, and says which way it goes. Three cups: two are alike, pick the one with most; needs to know beforehand which treatment has more. Leave the attribute empty to ask nothing.",
      texts: [
        field(`${prefix}.attribute`, "Attribute", {
          hint: "One word tasters know: brightness, sweetness",
        }),
      ],
      selects: [
        select(`${prefix}.cups`, "Cups in a set", [
          ["two", "Two: paired comparison (2-AFC)"],
          [THREE_CUPS, "Three: most of three (3-AFC)"],
        ]),
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
      invitation: isFree(prefix) ? "Ask for scores of something…" : null,
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

/** What a further question of each kind starts from. */
const freeRow = { direction: "30", score: "8" } as const;

function withFreeRows(draft: Draft): Draft {
  const rows = (["direction", "score"] as const).flatMap((kind) =>
    rowsToShow(draft, kind).flatMap((prefix) => [
      [`${prefix}.role`, "exploratory"],
      [`${prefix}.margin`, freeRow[kind]],
    ]),
  );
  return { ...Object.fromEntries(rows), ...draft };
}

/** Filled rows and the next free one. */
function rowsToShow(draft: Draft, kind: "direction" | "score"): string[] {
  const filled = rowsOf(draft, kind);
  const next = Number(filled.at(-1)?.split(".")[1] ?? -1) + 1;
  return next < 12 ? [...filled, `${kind}.${next}`] : filled;
}
