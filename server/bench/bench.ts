import type { FastifyPluginAsync, FastifyReply } from "fastify";
import type { Calculator } from "../../src/calculators/calculator.ts";
import { calculators } from "../../src/calculators/registry.ts";
import { findCalculator } from "../api/answer.ts";
import type { Calculations } from "../api/calculations.ts";
import { schemasOf } from "../api/schemas.ts";
import { type PublicRefusal, sendRefusal } from "../errors.ts";
import { errorSummary, type FieldErrors, formOf, type RawForm } from "../form.ts";
import { type Asking, answerForm, type ShownResult } from "./answer-form.ts";
import { type ControlGroup, controlsOf } from "./controls.ts";
import { drawGroups, freshForm } from "./fields.ts";
import { labelOf } from "./labels.ts";
import { cautionFor, shelve } from "./shelves.ts";

const rateLimit = { max: 300, timeWindow: "1 minute" };
const config = { access: "anyone" as const };

/** The bench: every calculator as a page with a form, for whoever wants to work something out. */
export function bench(calculations: Calculations): FastifyPluginAsync {
  return async (app) => {
    // One hook, so that all calculators share one count.
    app.addHook("onRequest", app.rateLimit(rateLimit));
    app.get("/bench", { config }, async (_request, reply) =>
      reply.page("bench/index", { title: "Bench", shelves: drawShelves() }),
    );
    app.get<{ Params: { name: string } }>("/bench/:name", { config }, async (request, reply) => {
      const found = findCalculator(request.params.name);
      if (!found.ok) return sendRefusal(request, reply, unknown(found.body.error.message));
      const page = pageOf(found.calculator);
      const asked = formOf(request.query);
      if (!asksAnything(page, asked)) return show(reply, page, freshForm(page.groups), {}, null);
      return await answer({ calculations, address: request.ip }, reply, page, {
        ...freshForm(page.groups),
        ...asked,
      });
    });
    app.post<{ Params: { name: string } }>(
      "/bench/:name",
      { config, preHandler: app.csrfProtection },
      async (request, reply) => {
        const found = findCalculator(request.params.name);
        if (!found.ok) return sendRefusal(request, reply, unknown(found.body.error.message));
        const asking = { calculations, address: request.ip };
        return await answer(asking, reply, pageOf(found.calculator), formOf(request.body));
      },
    );
  };
}

interface BenchPage {
  calculator: Calculator;
  groups: ControlGroup[];
}

function pageOf(calculator: Calculator): BenchPage {
  return { calculator, groups: controlsOf(schemasOf(calculator).input) };
}

function asksAnything({ groups }: BenchPage, asked: RawForm): boolean {
  return groups.some(({ controls }) => controls.some(({ name }) => name in asked));
}

async function answer(
  asking: Asking,
  reply: FastifyReply,
  page: BenchPage,
  form: RawForm,
): Promise<FastifyReply> {
  const computed = await answerForm(asking, page, form);
  if (computed.ok) return show(reply, page, form, {}, computed.result);
  reply.code(computed.status);
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
