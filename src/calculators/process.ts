import { z } from "zod";
import { processContrast, processTest } from "../statistics/process.ts";
import { type Calculator, defineCalculator } from "./calculator.ts";
import { alphaField, assessmentsField, count } from "./fields.ts";
import { isWithinAssessments, labelField, withinAssessments } from "./sample-fields.ts";

const pair = z
  .strictObject({
    label: labelField("the pair"),
    coffee: labelField("the coffee").optional(),
    favour: count("the assessments in favour"),
    assessments: assessmentsField,
  })
  .refine(({ favour, assessments }) => favour <= assessments, {
    error: "No more can favour a treatment than were asked.",
    path: ["favour"],
  });

const test = defineCalculator({
  name: "process-test",
  summary: "Tests over brew pairs whether a treatment matters, beside the claim about these cups.",
  input: z.strictObject({
    pairs: z
      .array(pair)
      .min(1, { error: "Give at least one brew pair." })
      .max(10_000, { error: "Give at most 10000 brew pairs." }),
    alpha: alphaField,
  }),
  output: z.object({
    pairs: z.number(),
    favouring: z.object({ a: z.number(), b: z.number(), even: z.number() }),
    pValue: z.number(),
    smallestPossiblePValue: z.number(),
    claimable: z.boolean(),
    cups: z.object({ assessments: z.number(), favour: z.number(), pValue: z.number() }),
  }),
  compute({ pairs, alpha }) {
    const answer = processTest(pairs, alpha);
    if (!answer.ok) return { refused: [{ path: ["pairs"], message: answer.refusal }] };
    const { ok, ...result } = answer;
    return result;
  },
});

const triedPairs = z
  .array(
    z
      .strictObject({
        coffee: labelField("the coffee"),
        correct: count("the correct answers"),
        assessments: assessmentsField,
      })
      .refine(isWithinAssessments, withinAssessments),
  )
  .min(1, { error: "Give at least one brew pair." })
  .max(1000, { error: "Give at most 1000 brew pairs." });

const contrast = defineCalculator({
  name: "process-contrast",
  summary: "Tests whether pots of two treatments are told apart more often than two pots of one.",
  input: z.strictObject({ testPairs: triedPairs, controlPairs: triedPairs, alpha: alphaField }),
  output: z.object({
    difference: z.number(),
    pValue: z.number(),
    smallestPossiblePValue: z.number(),
    claimable: z.boolean(),
  }),
  compute({ testPairs, controlPairs, alpha }) {
    const answer = processContrast(testPairs, controlPairs, alpha);
    if (!answer.ok) return { refused: [{ path: ["testPairs"], message: answer.refusal }] };
    const { ok, ...result } = answer;
    return result;
  },
});

/** Calculators for the claim that a treatment matters, where brew pairs are the unit. */
export const processCalculators: Calculator[] = [test, contrast];
