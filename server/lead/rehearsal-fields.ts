import type { Endpoint } from "../../src/experiment/endpoint.ts";
import type { Plan } from "../../src/experiment/plan.ts";
import { type Field, type FieldErrors, fieldMaker } from "../form.ts";
import type { Draft } from "../store/experiments.ts";
import { mainOf, plain, unitOf } from "./rehearsal-form.ts";
import { type Select, selectMaker } from "./select.ts";

/** The form's fields, in the words of the job. */
export function rehearsalFields(plan: Plan, draft: Draft, errors: FieldErrors) {
  return { numbers: numberFields(plan, draft, errors), choices: choiceFields(draft, errors) };
}

function numberFields(plan: Plan, draft: Draft, errors: FieldErrors): Field[] {
  const make = fieldMaker(draft, errors);
  const field = (name: string, label: string, hint: string) =>
    make(name, label, { type: "decimal", hint });
  const asks = (kind: Endpoint["kind"]) => plan.endpoints.some((one) => one.kind === kind);
  const main = mainOf(plan);
  return [
    field(
      "expectedEffect",
      effectLabel(main),
      `Your margin is ${plain(main.margin * unitOf(plan))}.`,
    ),
    field(
      "guessers",
      "Of 100 tasters, how many notice nothing",
      "They guess throughout, and nobody knows who they are.",
    ),
    field(
      "leavers",
      "Of 100 tasters, how many leave early",
      "They go somewhere between their first and last cup.",
    ),
    ...(asks("attribute-score")
      ? [
          field(
            "scorePoints",
            "How far one taster’s scores vary, in points",
            "Standard deviation of the difference that one taster gives two cups alike.",
          ),
        ]
      : []),
    ...(asks("extraction-yield")
      ? [
          field(
            "yieldPoints",
            "How far yields vary, in points",
            "Standard deviation of the difference between two pots brewed alike.",
          ),
        ]
      : []),
  ];
}

function choiceFields(draft: Draft, errors: FieldErrors): Select[] {
  const select = selectMaker(draft, errors);
  return [
    select("potSdLogit", "How much pots differ by themselves", [
      ["0", "Not at all (nobody brews like that)"],
      ["0.3", "A little"],
      ["0.6", "As pots usually do"],
      ["1", "Much"],
    ]),
    select("sensitivitySd", "How unlike the tasters are", [
      ["0", "All notice alike"],
      ["0.3", "Somewhat unlike"],
      ["0.6", "Very unlike"],
    ]),
    select("panels", "How many panels to play", [
      ["200", "200: a quick look"],
      ["1000", "1,000: usually enough"],
      ["10000", "10,000: to the last percent"],
    ]),
  ];
}

function effectLabel(endpoint: Endpoint): string {
  switch (endpoint.kind) {
    case "overall-difference":
      return "If the change does what you expect: of 100 people, how many can tell";
    case "attribute-difference":
    case "direction":
      return `If the change does what you expect: of 100 people, how many notice more ${endpoint.attribute}`;
    case "preference":
      return "If the change does what you expect: of 100 people, how many more like it better";
    case "attribute-score":
      return `If the change does what you expect: points of ${endpoint.attribute} it makes`;
    case "extraction-yield":
      return "If the change does what you expect: points of yield it makes";
  }
}
