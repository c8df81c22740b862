import type { FastifyReply } from "fastify";
import type { CellProblem } from "../../src/experiment/brew-import.ts";
import type { Endpoint } from "../../src/experiment/endpoint.ts";
import type { Plan } from "../../src/experiment/plan.ts";
import { panelColumns, panelQuestion } from "../../src/report/panel-columns.ts";
import type { Panel } from "../../src/report/panel-import.ts";
import type { PanelRow } from "../../src/report/panel-row.ts";
import { errorSummary, type FieldErrors, fieldMaker, type RawForm } from "../form.ts";
import type { Experiment } from "../store/experiments.ts";
import { problemPlace } from "./brew-pages.ts";
import { questionName } from "./plan-words.ts";

/** The import page as it stands: what was typed, what is wrong with it, or what would be imported. */
export interface PanelImportView {
  values: RawForm;
  errors: FieldErrors;
  text: string;
  problems: readonly CellProblem[];
  preview: { panel: Panel; rows: readonly PanelRow[] } | null;
}

/** How many bad cells are listed at once. */
const LISTED = 50;

export function showPanelImport(
  reply: FastifyReply,
  { id, title }: Experiment,
  plan: Plan,
  { values, errors, text, problems, preview }: PanelImportView,
): FastifyReply {
  const field = fieldMaker(values, errors);
  return reply.page("lead/import-panel", {
    title: "Import an outside panel",
    experimentId: id,
    experimentTitle: title,
    errors: errorSummary(errors),
    name: field("sessionName", "Name of the session"),
    heldOn: field("heldOn", "Date", { type: "date", hint: "When the panel tasted, if known." }),
    text,
    problemCount: problems.length,
    problems: problems.slice(0, LISTED).map((problem) => ({
      place: problemPlace(problem),
      message: problem.message,
    })),
    preview: preview && {
      answers: preview.rows.length,
      tasters: preview.panel.seatsStarted,
      coffees: plan.coffees.map((coffee) => ({
        name: coffee.name,
        answers: preview.rows.filter(({ coffeeId }) => coffeeId === coffee.id).length,
      })),
      questions: plan.endpoints.map((endpoint) => ({
        name: questionName(endpoint),
        answers: preview.rows.filter((row) => row.endpoint.id === endpoint.id).length,
      })),
    },
    columns: Object.entries(panelColumns).map(([column, meaning]) => ({ name: column, meaning })),
    questions: plan.endpoints.flatMap((endpoint) => {
      const name = panelQuestion(endpoint);
      return name === null ? [] : [{ id: endpoint.id, name, asks: questionName(endpoint) }];
    }),
    example: exampleRows(plan),
  });
}

/** A heading and a row for each question, as a file could begin. */
function exampleRows(plan: Plan): string {
  const coffee = plan.coffees[0]?.name ?? "";
  const rows = plan.endpoints.flatMap((endpoint) => exampleAnswer(endpoint, coffee));
  return [Object.keys(panelColumns).join(","), ...rows].join("\n");
}

function exampleAnswer(endpoint: Endpoint, coffee: string): string[] {
  const start = `1,${coffee},1,1,${panelQuestion(endpoint) ?? ""}`;
  switch (endpoint.kind) {
    case "overall-difference":
    case "attribute-difference":
      return [`${start},,yes,,`];
    case "direction":
    case "preference":
      return [`${start},B,,,`];
    case "attribute-score":
      return [`${start},,,40,55`];
    case "extraction-yield":
      return [];
  }
}
