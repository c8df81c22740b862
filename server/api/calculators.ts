import type { FastifyInstance, FastifyPluginAsync, FastifyReply } from "fastify";
import { z } from "zod";
import type { Calculator } from "../../src/calculators/calculator.ts";
import { calculators } from "../../src/calculators/registry.ts";
import { findCalculator } from "./answer.ts";
import type { Reply } from "./calculation-messages.ts";
import type { Calculations } from "./calculations.ts";
import { badInput, notNow, unknownName } from "./error-schemas.ts";
import { schemasOf } from "./schemas.ts";

/**
 * A room shares one address and a script asks row by row, hence many; yet a runaway loop must not
 * keep others from their answers.
 */
const rateLimit = { max: 1200, timeWindow: "1 minute" };
const config = { access: "anyone" as const };
const named = z.object({ name: z.string(), summary: z.string() });

/** `/api/v1/calculators`: the list, each calculator's schemas, and a POST door for each. */
export function calculatorDoors(calculations: Calculations): FastifyPluginAsync {
  return async (app) => {
    // One hook, so that all calculators share one count.
    app.addHook("onRequest", app.rateLimit(rateLimit));
    takeAnyBodyAsText(app);
    offerList(app);
    for (const calculator of calculators.values()) offerCalculator(app, calculations, calculator);
    app.post<{ Params: { name: string } }>(
      "/api/v1/calculators/:name",
      { config, schema: { hide: true } },
      async ({ ip, params }, reply) =>
        sendReply(reply, await calculations.answer(ip, params.name, "")),
    );
  };
}

/** The body is JSON whatever a client calls it; reading it is the calculators' affair. */
function takeAnyBodyAsText(app: FastifyInstance): void {
  app.removeAllContentTypeParsers();
  app.addContentTypeParser(
    "*",
    { parseAs: "string" },
    async (_request: unknown, body: string) => body,
  );
}

function offerList(app: FastifyInstance): void {
  app.get(
    "/api/v1/calculators",
    {
      config,
      schema: {
        operationId: "list-calculators",
        summary: "Every calculator with one sentence.",
        tags: ["list"],
        response: { 200: z.object({ calculators: z.array(named) }).describe("The calculators") },
      },
    },
    async () => ({
      calculators: [...calculators.values()].map(({ name, summary }) => ({ name, summary })),
    }),
  );
  app.get<{ Params: { name: string } }>(
    "/api/v1/calculators/:name",
    {
      config,
      schema: {
        operationId: "describe-calculator",
        summary: "JSON Schema of a calculator's input and output.",
        tags: ["list"],
        params: z.object({ name: z.string() }),
        response: {
          200: named
            .extend({ input: z.object({}).loose(), output: z.object({}).loose() })
            .describe("The schemas"),
          404: unknownName,
        },
      },
    },
    async ({ params }, reply) => {
      const found = findCalculator(params.name);
      return found.ok ? schemasOf(found.calculator) : await reply.code(404).send(found.body);
    },
  );
}

function offerCalculator(
  app: FastifyInstance,
  calculations: Calculations,
  calculator: Calculator,
): void {
  const { name, summary, input, output } = calculator;
  app.post<{ Body: string | undefined }>(
    `/api/v1/calculators/${name}`,
    {
      config,
      schema: {
        operationId: name,
        summary,
        tags: ["calculators"],
        body: input,
        response: { 200: output, 422: badInput, 503: notNow },
      },
    },
    async ({ ip, body }, reply) =>
      sendReply(reply, await calculations.answer(ip, name, body ?? "")),
  );
}

function sendReply(reply: FastifyReply, { status, json }: Reply): FastifyReply {
  return reply.code(status).type("application/json; charset=utf-8").send(json);
}
