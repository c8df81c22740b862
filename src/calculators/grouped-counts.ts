import { z } from "zod";
import { replicatedTest } from "../statistics/replicated.ts";
import { acrossCoffees } from "../statistics/strata.ts";
import { type Calculator, defineCalculator } from "./calculator.ts";
import {
  alphaField,
  assessmentsField,
  confidenceField,
  count,
  finiteOrNull,
  intervalField,
  methodField,
  openIntervalField,
  sidesField,
} from "./fields.ts";
import { isWithinAssessments, labelField, withinAssessments } from "./sample-fields.ts";

const taster = z
  .strictObject({
    correct: count("the correct answers"),
    assessments: count("the answers", 1, 10_000),
  })
  .refine(isWithinAssessments, withinAssessments);

const replicated = defineCalculator({
  name: "replicated-test",
  summary:
    "Tests tasters who answered more than once, with a beta-binomial for the size of the effect.",
  input: z.strictObject({
    method: methodField,
    tasters: z
      .array(taster)
      .min(1, { error: "Give at least one taster." })
      .max(10_000, { error: "Give at most 10000 tasters." }),
    confidence: confidenceField,
  }),
  output: z.object({
    pooled: z.object({
      tasters: z.number(),
      assessments: z.number(),
      correct: z.number(),
      pValue: z.number(),
    }),
    betaBinomial: z.object({
      proportion: z.number(),
      overdispersion: finiteOrNull,
      logLikelihood: z.number(),
      standardError: z.number(),
    }),
    overdispersionTest: z.object({ statistic: z.number(), pValue: z.number() }),
    proportionDistinguishing: intervalField,
  }),
  compute: ({ method, tasters, confidence }) => replicatedTest(method, tasters, confidence),
});

const coffee = z
  .strictObject({
    label: labelField("the coffee"),
    correct: count("the correct answers"),
    assessments: assessmentsField,
  })
  .refine(isWithinAssessments, withinAssessments);

const test = {
  correct: z.number(),
  assessments: z.number(),
  guessing: z.number(),
  pValue: z.number(),
  criticalCount: finiteOrNull,
  significant: z.boolean(),
  proportionCorrect: intervalField,
  proportionDistinguishing: intervalField,
  dPrime: openIntervalField,
};

const coffees = defineCalculator({
  name: "across-coffees",
  summary: "Tests each coffee and all together, and whether the coffees differ among themselves.",
  input: z
    .strictObject({
      method: methodField,
      sides: sidesField,
      coffees: z
        .array(coffee)
        .min(1, { error: "Give at least one coffee." })
        .max(1000, { error: "Give at most 1000 coffees." }),
      confidence: confidenceField,
      alpha: alphaField,
    })
    .refine(({ method, sides }) => sides === "one" || method === "paired-comparison", {
      error: "Only a paired comparison can be two-sided: other methods have one correct answer.",
      path: ["sides"],
    }),
  output: z.object({
    each: z.array(z.object({ label: z.string(), ...test })),
    pooled: z.object(test),
    heterogeneity: z.object({ statistic: finiteOrNull, df: z.number(), pValue: finiteOrNull }),
    adjusted: z.array(z.object({ label: z.string(), pValue: z.number() })),
  }),
  compute: acrossCoffees,
});

/** Calculators for counts that come in groups: several answers a taster, several coffees. */
export const groupedCountCalculators: Calculator[] = [replicated, coffees];
