import type { FastifyPluginAsync } from "fastify";
import type { Calculations } from "./calculations.ts";
import { calculatorDoors } from "./calculators.ts";
import { documentDoors } from "./openapi.ts";

/** The JSON doors and their documentation, in a scope of their own: nothing else is documented. */
export function api(calculations: Calculations): FastifyPluginAsync {
  return async (app) => {
    await documentDoors(app);
    // The calculators parse their input themselves, so that every door answers with the same bodies.
    app.setValidatorCompiler(() => (value) => ({ value }));
    app.setSerializerCompiler(() => (body) => JSON.stringify(body));
    await app.register(calculatorDoors(calculations));
  };
}
