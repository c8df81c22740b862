import type { FastifyPluginAsync, FastifyReply } from "fastify";
import Handlebars from "handlebars";
import { type PanelForecast, panelForecast } from "../../src/report/planning/panel.ts";
import type { PanelDesign } from "../../src/report/planning/panel-test.ts";
import { errorSummary, formOf } from "../form.ts";
import type { Draft } from "../store/experiments.ts";
import { panelFields } from "./panel-size-fields.ts";
import { panelForm, readPanel } from "./panel-size-form.ts";
import { closenessSentences, processSentences } from "./panel-size-limits.ts";
import { newPlanPage } from "./panel-size-links.ts";
import { claimText, curveRows, powerPlot } from "./panel-size-plot.ts";
import {
  type AskedQuestion,
  otherMethodWords,
  questionNamed,
  questions,
} from "./panel-size-questions.ts";
import { cupsSentences, panelRows, proposalText, unitsText } from "./panel-size-words.ts";

/** How many tasters or brew pairs a question takes; the address holds everything, nothing is kept. */
export const panelSizePage: FastifyPluginAsync = async (app) => {
  app.get("/lead/panel", { config: { access: "lead" } }, async (request, reply) =>
    showPanel(reply, panelForm(formOf(request.query))),
  );
};

function showPanel(reply: FastifyReply, form: Draft): FastifyReply {
  const reading = readPanel(form);
  const errors = reading.ok ? {} : reading.errors;
  const asked = questionNamed(form.question ?? "") ?? questions[0];
  if (asked === undefined) throw new Error("There are no questions");
  if (!reading.ok) reply.code(422);
  return reply.page("lead/panel-size", {
    title: "Panel size",
    errors: errorSummary(errors),
    questionError: errors.question ?? null,
    questions: questions.map(({ name, asks }) => ({ name, asks, chosen: name === asked.name })),
    asked,
    fields: panelFields(asked.name, form, errors),
    answer: reading.ok ? answerOf(reading.design, asked, form.attribute ?? "") : null,
  });
}

function answerOf(design: PanelDesign, asked: AskedQuestion, attribute: string) {
  const forecast = panelForecast(design);
  const { needed, have, otherMethods, unit } = forecast;
  const proposed = needed && (needed.stable ?? needed.smallest).units;
  return {
    method: asked.method,
    tradeName: asked.tradeName,
    reason: asked.reason,
    proposal: proposalText(design, forecast),
    otherMethods: otherMethods && {
      dPrime: otherMethods.dPrime.toFixed(2),
      rows: otherMethods.needed.map(({ method, ...row }) => ({
        ...row,
        ...otherMethodWords[method],
      })),
    },
    rows: panelRows(forecast),
    unitHead: unit === "taster" ? "Tasters" : "Brew pairs",
    countHead: countHead(design, forecast),
    claim: claimText(forecast),
    plot: new Handlebars.SafeString(powerPlot(design, forecast)),
    curve: curveRows(design, forecast),
    haveName: unitsText(forecast, have.units),
    neededName: proposed === null ? null : unitsText(forecast, proposed),
    cups: cupsSentences(design, forecast),
    process: processSentences(design, forecast),
    closeness: closenessSentences(design, forecast),
    newPlans: newPlans(design, forecast, proposed, attribute),
  };
}

function countHead({ question }: PanelDesign, { goal }: PanelForecast): string | null {
  if (question.kind === "scores" || question.kind === "yield") return null;
  if (goal === "closeness") return "Right at most";
  return question.kind === "apart" ? "Right needed" : "Alike needed";
}

const MOST_TASTERS = 300;
const MOST_PAIRS_PER_COFFEE = 10;

/** New plans with what is proposed, where one session can hold that, and with what there is. */
function newPlans(
  design: PanelDesign,
  { unit }: PanelForecast,
  proposed: number | null,
  attribute: string,
) {
  const own = { label: "Start a plan with what you have", design };
  const plans = proposed === null ? [own] : [...proposedPlan(design, unit, proposed), own];
  return plans.map((plan, at) => ({
    label: plan.label,
    href: newPlanPage(plan.design, attribute),
    quiet: at > 0,
  }));
}

function proposedPlan(design: PanelDesign, unit: PanelForecast["unit"], proposed: number) {
  if (unit === "taster") {
    return proposed > MOST_TASTERS
      ? []
      : [
          {
            label: `Start a plan with ${proposed} tasters`,
            design: { ...design, tasters: proposed },
          },
        ];
  }
  const brewPairsPerCoffee = Math.ceil(proposed / design.coffees);
  return brewPairsPerCoffee > MOST_PAIRS_PER_COFFEE
    ? []
    : [
        {
          label: `Start a plan with ${brewPairsPerCoffee} brew pairs per coffee`,
          design: { ...design, brewPairsPerCoffee },
        },
      ];
}
