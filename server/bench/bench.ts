import type { FastifyPluginAsync, FastifyReply } from "fastify";
import type { Calculator } from "../../src/calculators/calculator.ts";
import { calculators } from "../../src/calculators/registry.ts";
import { findCalculator } from "../api/answer.ts";
import { schemasOf } from "../api/schemas.ts";
import { type PublicRefusal, sendRefusal } from "../errors.ts";
import { errorSummary, type FieldErrors, formOf, type RawForm } from "../form.ts";
import { answerForm, type ShownResult } from "./answer-form.ts";
import { type ControlGroup, controlsOf } from "./controls.ts";
import { drawGroups, freshForm } from "./fields.ts";
import { labelOf } from "./labels.ts";
import { cautionFor, shelve } from "./shelves.ts";

const rateLimit = { max: 300, timeWindow: "1 minute" };
const config = { access: "anyone" as const };

/** The bench: every calculator as a page with a form, for whoever wants to work something out. */
export const bench: FastifyPluginAsync = async (app) => {
  // One hook, so that all calculators share one count.
  app.addHook("onRequest", app.rateLimit(rateLimit));
  app.get("/bench", { config }, async (_request, reply) =>
    reply.page("bench/index", { title: "Bench", shelves: drawShelves() }),
  );
  app.get<{ Params: { name: string } }>("/bench/:name", { config }, async (request, reply) => {
    const found = findCalculator(request.params.name);
    if (!found.ok) return sendRefusal(request, reply, unknown(found.body.error.message));
    const groups = controlsOf(schemasOf(found.calculator).input);
    const asked = formOf(request.query);
    const page = { calculator: found.calculator, groups };
    if (!groups.some(({ controls }) => controls.some(({ name }) => name in asked))) {
      return show(reply, page, freshForm(groups), {}, null);
    }
    return answer(reply, page, { ...freshForm(groups), ...asked });
  });
  app.post<{ Params: { name: string } }>(
    "/bench/:name",
    { config, preHandler: app.csrfProtection },
    async (request, reply) => {
      const found = findCalculator(request.params.name);
      if (!found.ok) return sendRefusal(request, reply, unknown(found.body.error.message));
      const groups = controlsOf(schemasOf(found.calculator).input);
      return answer(reply, { calculator: found.calculator, groups }, formOf(request.body));
    },
  );
};

interface BenchPage {
  calculator: Calculator;
  groups: ControlGroup[];
}

function answer(reply: FastifyReply, page: BenchPage, form: RawForm): FastifyReply {
  const computed = answerForm(page.calculator, page.groups, form);
  if (computed.ok) return show(reply, page, form, {}, computed.result);
  reply.code(422);
  return show(reply, page, form, computed.errors, null);
}

function show(
  reply: FastifyReply,
  { calculator, groups }: BenchPage,
  form: RawForm,
  errors: FieldErrors,
  result: ShownResult | null,
): FastifyReply {
  return reply.page("bench/calculator", {
    title: labelOf(calculator.name),
    name: calculator.name,
    summary: calculator.summary,
    caution: cautionFor(calculator.name),
    errors: errorSummary(errors),
    groups: drawGroups(groups, form, errors),
    result,
  });
}

function drawShelves() {
  return shelve(calculators).map((shelf) => ({
    title: shelf.title,
    calculators: shelf.calculators.map(({ name, summary }) => ({
      name,
      label: labelOf(name),
      summary,
    })),
  }));
}

function unknown(message: string): PublicRefusal {
  return {
    status: 404,
    headline: message,
    advice: "The bench lists every calculator there is: /bench",
  };
}
