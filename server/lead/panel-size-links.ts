import type { Endpoint } from "../../src/experiment/endpoint.ts";
import type { Plan } from "../../src/experiment/plan.ts";
import { USUAL_SPREADS } from "../../src/report/planning/outlook.ts";
import type { PanelDesign } from "../../src/report/planning/panel-test.ts";
import type { Draft } from "../store/experiments.ts";

/** The panel-size page for a plan's main question; null where its method is none that the page plans. */
export function panelPageOf(plan: Plan): string | null {
  const main = plan.endpoints.find(({ role }) => role === "primary");
  const question = main ? questionFields(main) : {};
  if (question === null) return null;
  const form: Draft = {
    ...question,
    alpha: String(plan.alpha),
    tasters: String(plan.tasters),
    coffees: String(plan.coffees.length),
    brewPairsPerCoffee: String(plan.brewPairsPerCoffee),
    replicates: String(plan.replicates),
    controlPairsPerCoffee: String(plan.controls.sameTreatmentPairsPerCoffee),
  };
  return `/lead/panel?${new URLSearchParams(form)}`;
}

function questionFields(endpoint: Endpoint): Draft | null {
  switch (endpoint.kind) {
    case "overall-difference":
      // The page reckons with triangles.
      return endpoint.method === "triangle"
        ? { question: "apart", noticing: percent(endpoint.margin) }
        : null;
    case "attribute-difference":
      return null;
    case "direction":
      return {
        question: "more",
        attribute: endpoint.attribute,
        pickRate: percent((1 + endpoint.margin) / 2),
        sides: endpoint.expected === null ? "two" : "one",
      };
    case "preference":
      return { question: "liked", pickRate: percent((1 + endpoint.margin) / 2) };
    case "attribute-score":
      return {
        question: "scores",
        attribute: endpoint.attribute,
        points: String(endpoint.margin),
        spread: String(USUAL_SPREADS.scorePoints),
      };
    case "extraction-yield":
      return {
        question: "yield",
        yieldPoints: String(endpoint.margin),
        yieldSpread: String(USUAL_SPREADS.yieldPoints),
      };
  }
}

/** A new plan with this panel, which asks this question first. */
export function newPlanPage(design: PanelDesign, attribute: string): string {
  const draft: Draft = {
    ...mainQuestion(design.question, attribute),
    alpha: String(design.alpha),
    tasters: String(design.tasters),
    coffees: Array.from({ length: design.coffees }, (_, i) => `Coffee ${i + 1}`).join("\n"),
    brewPairsPerCoffee: String(design.brewPairsPerCoffee),
    replicates: String(design.replicates),
    "controls.sameTreatmentPairsPerCoffee": String(design.controlPairsPerCoffee),
  };
  return `/lead/experiments/new?${new URLSearchParams(draft)}`;
}

const nothingElse: Draft = { "overall.role": "", "preference.role": "" };

function mainQuestion(question: PanelDesign["question"], attribute: string): Draft {
  switch (question.kind) {
    case "apart":
    case "same":
      return { "overall.role": "primary", "overall.margin": percent(question.noticing) };
    case "more":
      return {
        ...nothingElse,
        "direction.0.attribute": attribute,
        "direction.0.role": "primary",
        // The change is what one expects something of; the form shows the choice.
        "direction.0.expected": question.sides === "one" ? "B" : "",
        "direction.0.margin": percent(2 * question.pickRate - 1),
      };
    case "liked":
      return {
        ...nothingElse,
        "preference.role": "primary",
        "preference.margin": percent(2 * question.pickRate - 1),
      };
    case "scores":
      return {
        ...nothingElse,
        "score.0.attribute": attribute,
        "score.0.role": "primary",
        "score.0.margin": String(question.points),
      };
    case "yield":
      return { ...nothingElse, "yield.role": "primary", "yield.margin": String(question.points) };
  }
}

/** 0.29 · 100 is 28.999999999999996 in binary. */
function percent(share: number): string {
  return String(Number((share * 100).toPrecision(12)));
}
