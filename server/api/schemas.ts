import { z } from "zod";
import type { Calculator } from "../../src/calculators/calculator.ts";

/** A JSON Schema as the doors show it. */
export type JsonSchema = Readonly<Record<string, unknown>>;

/** JSON Schema (2020-12) of what a calculator takes and gives. */
export function schemasOf({ name, summary, input, output }: Calculator): {
  name: string;
  summary: string;
  input: JsonSchema;
  output: JsonSchema;
} {
  return {
    name,
    summary,
    input: z.toJSONSchema(input, { io: "input" }),
    output: z.toJSONSchema(output, { io: "output" }),
  };
}
