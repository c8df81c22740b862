import type { CellProblem } from "../experiment/brew-import.ts";
import {
  type Endpoint,
  isRightOrWrong,
  SCALE_MAXIMUM,
  type Treatment,
} from "../experiment/endpoint.ts";
import type { Plan } from "../experiment/plan.ts";
import { plainName } from "../experiment/typed-name.ts";
import { type PanelColumn, panelQuestion } from "./panel-columns.ts";

/** A row of text by column. */
export type PanelText = Readonly<Partial<Record<PanelColumn, string>>>;

/** What a row says was answered. */
export type PanelAnswer =
  | { correct: boolean }
  | { chosen: Treatment }
  | { cannotTell: true }
  | { scores: Record<Treatment, number> };

/** One answer as it was read. */
export interface PanelRow {
  taster: string;
  coffeeId: string;
  pair: number;
  repeat: number;
  endpoint: Endpoint;
  answer: PanelAnswer;
}

type RowProblem = Omit<CellProblem, "row">;
type Read<Value> = { ok: true; value: Value } | { ok: false; problems: RowProblem[] };

/** The most brew pairs a coffee may have: there are pot letters for no more. */
export const MOST_PAIRS = 10;
const MOST_REPEATS = 20;

/** Reads one answer under a plan, or says what is wrong at which cell. */
export function readPanelRow(text: PanelText, plan: Plan): Read<PanelRow> {
  const taster = cell(text, "taster");
  const coffee = coffeeIn(text, plan);
  const pair = countIn(text, "pair", MOST_PAIRS);
  const repeat = countIn(text, "repeat", MOST_REPEATS);
  const question = questionIn(text, plan);
  const answer = question.ok ? answerIn(text, question.value, plan) : null;
  const problems = [
    ...(taster === "" ? [problem("taster", "Name or number the taster")] : []),
    ...[coffee, pair, repeat, question, answer].flatMap((read) =>
      read === null || read.ok ? [] : read.problems,
    ),
  ];
  if (problems.length > 0 || !coffee.ok || !pair.ok || !repeat.ok || !question.ok || !answer?.ok) {
    return { ok: false, problems };
  }
  return {
    ok: true,
    value: {
      taster,
      coffeeId: coffee.value,
      pair: pair.value,
      repeat: repeat.value,
      endpoint: question.value,
      answer: answer.value,
    },
  };
}

const cell = (text: PanelText, column: PanelColumn) => (text[column] ?? "").trim();
const problem = (column: PanelColumn, message: string): RowProblem => ({ column, message });
const bad = (column: PanelColumn, message: string) => ({
  ok: false as const,
  problems: [problem(column, message)],
});

function coffeeIn(text: PanelText, { coffees }: Plan): Read<string> {
  const typed = cell(text, "coffee");
  const [first, ...others] = coffees;
  if (typed === "" && first && others.length === 0) return { ok: true, value: first.id };
  const names = coffees.map(({ name }) => name).join(", ");
  if (typed === "") return bad("coffee", `Name the coffee: ${names}`);
  const found = coffees.find(
    ({ id, name }) => plainName(name) === plainName(typed) || id === typed,
  );
  return found
    ? { ok: true, value: found.id }
    : bad("coffee", `The plan has no coffee “${typed}”; it has ${names}`);
}

function countIn(text: PanelText, column: "pair" | "repeat", most: number): Read<number> {
  const typed = cell(text, column);
  if (typed === "") return { ok: true, value: 1 };
  return /^\d{1,2}$/.test(typed) && +typed >= 1 && +typed <= most
    ? { ok: true, value: +typed }
    : bad(column, `Give a whole number from 1 to ${most}`);
}

function questionIn(text: PanelText, plan: Plan): Read<Endpoint> {
  const typed = plainName(cell(text, "question"));
  const asked = plan.endpoints.filter((endpoint) => panelQuestion(endpoint) !== null);
  const [first, ...others] = asked;
  if (typed === "" && first && others.length === 0) return { ok: true, value: first };
  const names = asked.map((endpoint) => panelQuestion(endpoint)).join(", ");
  if (typed === "") return bad("question", `Name the question: ${names}`);
  const found = asked.find(
    (endpoint) => endpoint.id === typed || plainName(panelQuestion(endpoint) ?? "") === typed,
  );
  return found
    ? { ok: true, value: found }
    : bad("question", `The plan doesn't ask “${cell(text, "question")}”; it asks ${names}`);
}

const answerColumns = {
  "overall-difference": ["correct"],
  "attribute-difference": ["correct"],
  direction: ["chosen"],
  preference: ["chosen"],
  "attribute-score": ["score_a", "score_b"],
  "extraction-yield": [],
} as const satisfies Record<Endpoint["kind"], readonly PanelColumn[]>;

function answerIn(text: PanelText, endpoint: Endpoint, plan: Plan): Read<PanelAnswer> {
  const own: readonly PanelColumn[] = answerColumns[endpoint.kind];
  const strange = (["chosen", "correct", "score_a", "score_b"] as const).filter(
    (column) => !own.includes(column) && cell(text, column) !== "",
  );
  if (strange.length > 0) {
    const message = `This question is answered under ${own.join(" and ")}; leave this cell empty`;
    return { ok: false, problems: strange.map((column) => problem(column, message)) };
  }
  if (isRightOrWrong(endpoint)) return correctIn(text);
  return endpoint.kind === "attribute-score" ? scoresIn(text) : chosenIn(text, plan);
}

function correctIn(text: PanelText): Read<PanelAnswer> {
  const typed = plainName(cell(text, "correct"));
  if (["yes", "true", "1"].includes(typed)) return { ok: true, value: { correct: true } };
  if (["no", "false", "0"].includes(typed)) return { ok: true, value: { correct: false } };
  return bad("correct", "Say yes or no");
}

function chosenIn(text: PanelText, { treatments, cannotTellAllowed }: Plan): Read<PanelAnswer> {
  const typed = plainName(cell(text, "chosen"));
  for (const letter of ["A", "B"] as const) {
    if ([plainName(letter), plainName(treatments[letter].name)].includes(typed)) {
      return { ok: true, value: { chosen: letter } };
    }
  }
  const names = `A (${treatments.A.name}) or B (${treatments.B.name})`;
  if (!["can't tell", "can’t tell", "cannot tell"].includes(typed)) {
    return bad("chosen", `Name the treatment that was picked: ${names}`);
  }
  return cannotTellAllowed
    ? { ok: true, value: { cannotTell: true } }
    : bad("chosen", `The plan doesn't allow “can't tell”; it takes ${names}`);
}

function scoresIn(text: PanelText): Read<PanelAnswer> {
  const columns = ["score_a", "score_b"] as const;
  const problems = columns
    .filter((column) => !isScore(cell(text, column)))
    .map((column) => problem(column, `Give whole points from 0 to ${SCALE_MAXIMUM}`));
  if (problems.length > 0) return { ok: false, problems };
  const [A, B] = [+cell(text, "score_a"), +cell(text, "score_b")];
  return { ok: true, value: { scores: { A, B } } };
}

const isScore = (typed: string) => /^\d{1,3}$/.test(typed) && +typed <= SCALE_MAXIMUM;
