import type { Answer } from "../experiment/ballot.ts";
import type { CellProblem } from "../experiment/brew-import.ts";
import { type Endpoint, setOf, type Treatment } from "../experiment/endpoint.ts";
import { coffeeName, type Plan } from "../experiment/plan.ts";
import type { Evidence, UnblindedBallot, UnblindedCup, UnblindedPot } from "./evidence.ts";
import { groupBy } from "./observations.ts";
import { panelColumns, panelQuestion } from "./panel-columns.ts";
import { type PanelAnswer, type PanelRow, type PanelText, readPanelRow } from "./panel-row.ts";

/** What an outside panel's file amounts to: all of the evidence but the plan and the blind. */
export type Panel = Pick<Evidence, "seatsStarted" | "ballotsExpected" | "ballots" | "pots">;

export type PanelReading =
  | { ok: true; panel: Panel; rows: PanelRow[] }
  | { ok: false; problems: CellProblem[] };

/**
 * Reads a whole file of answers under a plan, heading first. All rows or none: any bad cell, unknown
 * column and answer that stands twice is a problem that names its place. `at` (ISO) is when the file
 * came; tasters become t1, t2, … in the order in which they appear.
 */
export function readPanel(
  cells: readonly (readonly string[])[],
  plan: Plan,
  at: string,
): PanelReading {
  const [heading = [], ...lines] = cells;
  const columns = heading.map((name) => name.trim().toLowerCase());
  const strange = columns.flatMap((column) =>
    column in panelColumns ? [] : [unknownColumn(column)],
  );
  if (strange.length > 0) return { ok: false, problems: strange };
  if (lines.length === 0) {
    const message = "There is no answer below the heading";
    return { ok: false, problems: [{ row: 2, column: "", message }] };
  }
  const read = lines.map((line, index) => ({
    row: index + 2,
    read: readPanelRow(textOf(columns, line), plan),
  }));
  const rows = read.flatMap(({ row, read: one }) => (one.ok ? [{ row, answer: one.value }] : []));
  const problems = [
    ...read.flatMap(({ row, read: one }) =>
      one.ok ? [] : one.problems.map((problem) => ({ row, ...problem })),
    ),
    ...repeated(rows, plan),
  ].toSorted((one, other) => one.row - other.row);
  if (problems.length > 0) return { ok: false, problems };
  const answers = rows.map(({ answer }) => answer);
  return { ok: true, panel: panelOf(answers, at), rows: answers };
}

function unknownColumn(column: string): CellProblem {
  const known = Object.keys(panelColumns).join(", ");
  return {
    row: 1,
    column,
    message: `There is no column of this name; the columns are ${known}`,
  };
}

function textOf(columns: readonly string[], line: readonly string[]): PanelText {
  return Object.fromEntries(columns.map((column, index) => [column, line[index] ?? ""]));
}

const setKey = (row: PanelRow) =>
  [row.taster, row.coffeeId, row.pair, row.repeat, setOf(row.endpoint)].join("\t");

function repeated(rows: readonly { row: number; answer: PanelRow }[], plan: Plan): CellProblem[] {
  const first = new Map<string, number>();
  return rows.flatMap(({ row, answer }) => {
    const key = `${setKey(answer)}\t${answer.endpoint.id}`;
    const before = first.get(key);
    first.set(key, before ?? row);
    if (before === undefined) return [];
    const coffee = coffeeName(plan, answer.coffeeId);
    const message = `Row ${before} holds this taster's answer to “${panelQuestion(answer.endpoint) ?? ""}” on ${coffee} already; number a further one under repeat`;
    return [{ row, column: "taster", message }];
  });
}

function panelOf(rows: readonly PanelRow[], at: string): Panel {
  const seats = new Map<string, string>();
  for (const { taster } of rows) seats.set(taster, seats.get(taster) ?? `t${seats.size + 1}`);
  const served = new Map<string, number>();
  const ballots = [...groupBy(rows, setKey).values()].flatMap((answers) => {
    const [first] = answers;
    const seatId = first && seats.get(first.taster);
    if (first === undefined || seatId === undefined) return [];
    const ordinal = (served.get(seatId) ?? 0) + 1;
    served.set(seatId, ordinal);
    return [ballotOf(first, answers, { seatId, ordinal, at })];
  });
  return {
    seatsStarted: seats.size,
    ballotsExpected: ballots.length,
    ballots,
    pots: potsOf(rows),
  };
}

/** Letters of the pots, two a pair; codes of the cups of each set. They stand for what is not known. */
const LETTERS = "CDEFGHJKLMNPRSTUVWXY";
const CODES = ["101", "102", "103", "104"] as const;

function letterOf(pair: number, treatment: Treatment): string {
  return LETTERS[2 * (pair - 1) + (treatment === "A" ? 0 : 1)] ?? "";
}

/**
 * How a set is taken down whose places are not known: what it held, where its right answer stands,
 * and the codes that stand for a right answer (or A) and a wrong one (or B).
 */
interface Layout extends Pick<UnblindedBallot, "oddPosition" | "fellowPosition"> {
  arms: readonly Treatment[];
  right: string;
  wrong: string;
}

function layoutOf(endpoint: Endpoint): Layout {
  const [first, second, third] = CODES;
  switch (setOf(endpoint)) {
    case "triangle":
      return { arms: ["A", "B", "B"], oddPosition: 1, right: first, wrong: second };
    case "three-afc": {
      const single = endpoint.kind === "attribute-difference" ? endpoint.expected : "A";
      const other = single === "A" ? "B" : "A";
      return { arms: [single, other, other], oddPosition: 1, right: first, wrong: second };
    }
    case "duo-trio":
      return { arms: ["A", "A", "B"], oddPosition: 3, right: second, wrong: third };
    case "tetrad":
      return {
        arms: ["A", "A", "B", "B"],
        oddPosition: null,
        fellowPosition: 2,
        right: second,
        wrong: third,
      };
    case "ab":
    case null:
      return { arms: ["A", "B"], oddPosition: null, right: first, wrong: second };
  }
}

function ballotOf(
  row: PanelRow,
  answers: readonly PanelRow[],
  { seatId, ordinal, at }: { seatId: string; ordinal: number; at: string },
): UnblindedBallot {
  const { arms, right, wrong, ...positions } = layoutOf(row.endpoint);
  const cups = arms.map(
    (treatment, index): UnblindedCup => ({
      position: index + 1,
      code: CODES[index] ?? "",
      potLetter: letterOf(row.pair, treatment),
      treatment,
    }),
  );
  return {
    seatId,
    ordinal,
    coffeeId: row.coffeeId,
    pair: row.pair,
    replicate: row.repeat,
    control: null,
    set: setOf(row.endpoint) ?? "ab",
    ...positions,
    cups,
    answers: Object.fromEntries(
      answers.map(({ endpoint, answer }) => [endpoint.id, answerOf(answer, right, wrong)]),
    ),
    submittedAt: at,
    voidReason: null,
  };
}

function answerOf(answer: PanelAnswer, right: string, wrong: string): Answer {
  if ("cannotTell" in answer) return answer;
  if ("scores" in answer) return { scores: { [right]: answer.scores.A, [wrong]: answer.scores.B } };
  const isFirst = "correct" in answer ? answer.correct : answer.chosen === "A";
  return { chosen: isFirst ? right : wrong };
}

function potsOf(rows: readonly PanelRow[]): UnblindedPot[] {
  const pairs = groupBy(rows, ({ coffeeId, pair }) => `${coffeeId}/${pair}`);
  return [...pairs.values()].flatMap(([row]) =>
    row === undefined
      ? []
      : (["A", "B"] as const).map((treatment) => ({
          coffeeId: row.coffeeId,
          pair: row.pair,
          letter: letterOf(row.pair, treatment),
          treatment,
          controlPair: false,
          plannedBrewer: "not known",
          brew: null,
          rejected: null,
        })),
  );
}
