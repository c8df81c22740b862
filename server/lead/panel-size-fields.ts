import { type Field, type FieldErrors, fieldMaker } from "../form.ts";
import type { Draft } from "../store/experiments.ts";
import type { QuestionName } from "./panel-size-questions.ts";
import { type Select, selectMaker } from "./select.ts";

export interface PanelFields {
  effect: Field[];
  sides: Select | null;
  risks: Field[];
  panel: Field[];
  /** Fields of the other questions travel along unseen, so that nothing typed is lost. */
  hidden: { name: string; value: string }[];
}

/** The fields that a question shows. */
export function panelFields(question: QuestionName, form: Draft, errors: FieldErrors): PanelFields {
  const shown = {
    effect: effectFields(question, form, errors),
    sides: question === "more" ? sidesField(form, errors) : null,
    risks: riskFields(question, form, errors),
    panel: panelNumbers(question, form, errors),
  };
  const fields = [...shown.effect, ...shown.risks, ...shown.panel];
  // The question is the button's that sends the form.
  const names = [...fields.map(({ name }) => name), shown.sides?.name, "question"];
  const hidden = Object.entries(form)
    .filter(([name]) => !names.includes(name))
    .map(([name, value]) => ({ name, value }));
  return { ...shown, hidden };
}

function effectFields(question: QuestionName, form: Draft, errors: FieldErrors): Field[] {
  const field = fieldMaker(form, errors);
  const number = (name: string, label: string, hint: string) =>
    field(name, label, { type: "decimal", hint });
  const attribute = field("attribute", "Of what? (attribute)", {
    hint: "One word tasters know, such as brightness. It goes along into the plan.",
  });
  const pickRate = (hint: string) => number("pickRate", "Picks of one cup, in %", hint);
  const usualSpread = "15 until you have your own: how much the differences of single tasters vary";
  switch (question) {
    case "apart":
      return [
        number(
          "noticing",
          "People who truly notice, in %",
          "How many of 100 people must really tell before it matters? 30 is usual.",
        ),
      ];
    case "same":
      return [
        number(
          "noticing",
          "Margin: people who truly notice, in %",
          "From how many of 100 people on would it matter? Fewer is close enough; 30 is usual.",
        ),
      ];
    case "more":
      return [
        attribute,
        pickRate("Of 100 picks, how many for the same cup would matter? 50 is luck; 70 is usual."),
      ];
    case "liked":
      return [pickRate("Of 100 drinkers, how many for one cup would matter? 50 is luck.")];
    case "scores":
      return [
        attribute,
        number("points", "Difference that matters, in points", "On the line from 0 to 100."),
        number("spread", "Spread of differences, in points (SD)", `${usualSpread}.`),
      ];
    case "yield":
      return [
        number(
          "yieldPoints",
          "Margin, in points of yield",
          "The largest difference that doesn't matter: 0.5 is 20.0 % against 20.5 %.",
        ),
        number(
          "yieldSpread",
          "Spread of pair differences, in points of yield (SD)",
          "0.4 until you have your own: how much the difference varies from pair to pair.",
        ),
      ];
  }
}

function sidesField(form: Draft, errors: FieldErrors): Select {
  return selectMaker(form, errors)("sides", "Is it known which cup should have more?", [
    ["two", "No, either may (two-sided)"],
    ["one", "Yes, and written down beforehand (one-sided)"],
  ]);
}

function riskFields(question: QuestionName, form: Draft, errors: FieldErrors): Field[] {
  const field = fieldMaker(form, errors);
  const closeness = question === "same" || question === "yield";
  return [
    field(
      "alpha",
      closeness ? "Risk of passing wrongly (alpha)" : "Risk of calling luck a difference (alpha)",
      {
        type: "decimal",
        hint: "0.05 is usual: one time in twenty.",
      },
    ),
    field(
      "power",
      closeness
        ? "Chance of passing when they are the same (power)"
        : "Chance of finding it (power)",
      {
        type: "decimal",
        hint: "0.8 is usual: four times in five.",
      },
    ),
  ];
}

function panelNumbers(question: QuestionName, form: Draft, errors: FieldErrors): Field[] {
  const field = fieldMaker(form, errors);
  const whole = (name: string, label: string, hint: string) =>
    field(name, label, { type: "whole", hint });
  const pots = [
    whole("coffees", "Coffees", "Every comparison stays within one coffee."),
    whole("brewPairsPerCoffee", "Brew pairs per coffee", "Two pots each, one per treatment."),
  ];
  if (question === "yield") return pots;
  const people = [
    whole("tasters", "People who can taste", "How many will surely sit down."),
    ...pots,
    whole("replicates", "Repeats", "Times each taster meets the same pair. Not new tasters."),
  ];
  if (question !== "apart" && question !== "same") return people;
  const control = whole(
    "controlPairsPerCoffee",
    "Hidden same-treatment pairs per coffee",
    "Two pots made alike. A process claim from triangles needs them.",
  );
  return [...people, control];
}
