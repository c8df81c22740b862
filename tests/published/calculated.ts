import { readFileSync } from "node:fs";
import { z } from "zod";
import { calculators } from "../../src/calculators/registry.ts";

const namedInput = z.strictObject({
  calculator: z.string(),
  input: z.record(z.string(), z.unknown()),
});

const inputs = z
  .record(z.string(), namedInput)
  .parse(JSON.parse(readFileSync(new URL("calculator-inputs.json", import.meta.url), "utf8")));

/** What a calculator answers to a named data set, through the same door as every other caller. */
export function answerTo(name: string): unknown {
  const entry = inputs[name];
  if (entry === undefined) throw new Error(`No input named ${name}`);
  return answer(entry.calculator, entry.input);
}

/** What a calculator answers; a refusal fails the test. */
export function answer(calculator: string, input: unknown): unknown {
  const outcome = calculators.get(calculator)?.run(input);
  if (!outcome?.ok) throw new Error(`${calculator} refused: ${JSON.stringify(outcome)}`);
  return outcome.output;
}

/** One number of an answer, by its dotted path; yes and no count as 1 and 0. */
export function valueAt(output: unknown, path: string): number | null {
  let found = output;
  for (const key of path.split(".")) found = new Map(Object.entries(Object(found))).get(key);
  return typeof found === "boolean" ? Number(found) : z.number().nullable().parse(found);
}

/** The quantity most checks ask for: a data set's name, then the path of a number in the answer. */
export function calculated(name: unknown, path: unknown): number | null {
  return valueAt(answerTo(z.string().parse(name)), z.string().parse(path));
}
