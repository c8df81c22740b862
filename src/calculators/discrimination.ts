import { z } from "zod";
import {
  discriminationTest,
  dPrimeOf,
  methods,
  proportionDistinguishing,
  similarityTest,
} from "../statistics/discrimination.ts";
import { clopperPearson, wilson } from "../statistics/intervals.ts";
import { type Calculator, defineCalculator } from "./calculator.ts";
import {
  alphaField,
  assessmentsField,
  confidenceField,
  count,
  dPrimeField,
  finiteOrNull,
  intervalField,
  methodField,
  openIntervalField,
  refuseField,
  sidesField,
  sidesMustFit,
} from "./fields.ts";
import { panelCalculators } from "./panels.ts";

const notMoreThanAssessments = {
  error: "Give no more correct answers than assessments.",
  path: ["correct"],
};

const discriminationTestCalculator = defineCalculator({
  name: "discrimination-test",
  summary: "Could they tell? Exact forced-choice test with its intervals for pd and d′.",
  input: z
    .strictObject({
      method: methodField,
      sides: sidesField,
      assessments: assessmentsField,
      correct: count("the number correct"),
      confidence: confidenceField,
      alpha: alphaField,
    })
    .superRefine(sidesMustFit)
    .refine(correctFits, notMoreThanAssessments),
  output: z.object({
    guessing: z.number(),
    pValue: z.number(),
    criticalCount: finiteOrNull,
    significant: z.boolean(),
    proportionCorrect: intervalField,
    proportionDistinguishing: intervalField,
    dPrime: openIntervalField,
  }),
  compute: discriminationTest,
});

const similarityTestCalculator = defineCalculator({
  name: "similarity-test",
  summary: "Close enough? Exact test that fewer than a margin of tasters can tell.",
  input: z
    .strictObject({
      method: methodField,
      assessments: assessmentsField,
      correct: count("the number correct"),
      margin: z
        .number({ error: "Give the margin, a proportion of distinguishers, as a number." })
        .gt(0, { error: "Give the margin, a proportion of distinguishers, above 0." })
        .max(1, { error: "Give the margin, a proportion of distinguishers, as at most 1." }),
      alpha: alphaField,
    })
    .refine(correctFits, notMoreThanAssessments),
  output: z.object({
    pValue: z.number(),
    upperLimit: z.number(),
    lowerLimit: z.number().optional(),
    maximumCount: finiteOrNull,
    minimumCount: finiteOrNull.optional(),
    similar: z.boolean(),
  }),
  compute: similarityTest,
});

const psychometricCalculator = defineCalculator({
  name: "psychometric",
  summary: "From d′ to the proportion correct of a method, or back.",
  input: z.strictObject({
    method: methodField,
    dPrime: dPrimeField.optional(),
    proportionCorrect: z
      .number({ error: "Give the proportion correct as a number." })
      .min(0, { error: "Give the proportion correct as 0 or more." })
      .max(1, { error: "Give the proportion correct as a fraction, at most 1." })
      .optional(),
  }),
  output: z.object({
    dPrime: finiteOrNull,
    proportionCorrect: z.number(),
    proportionDistinguishing: z.number(),
  }),
  compute: ({ method, dPrime, proportionCorrect }) => {
    if ((dPrime === undefined) === (proportionCorrect === undefined)) {
      return refuseField("dPrime", "Give exactly one of dPrime and proportionCorrect.");
    }
    const pc = proportionCorrect ?? methods[method].proportionCorrect(dPrime ?? 0);
    return {
      dPrime: dPrime ?? dPrimeOf(method, pc),
      proportionCorrect: pc,
      proportionDistinguishing: proportionDistinguishing(pc, methods[method].guessing),
    };
  },
});

const binomialIntervalCalculator = defineCalculator({
  name: "binomial-interval",
  summary: "A proportion with its exact (Clopper–Pearson) or score (Wilson) interval.",
  input: z
    .strictObject({
      successes: count("the number of successes"),
      trials: count("the number of trials", 1),
      confidence: confidenceField,
      kind: z.enum(["exact", "wilson"], { error: "Give the kind as exact or wilson." }),
    })
    .refine((input) => input.successes <= input.trials, {
      error: "Give no more successes than trials.",
      path: ["successes"],
    }),
  output: intervalField,
  compute: ({ successes, trials, confidence, kind }) =>
    kind === "exact"
      ? clopperPearson(successes, trials, confidence)
      : wilson(successes, trials, confidence),
});

/** Forced-choice tests, their panels and tables. */
export const discriminationCalculators: Calculator[] = [
  discriminationTestCalculator,
  similarityTestCalculator,
  ...panelCalculators,
  psychometricCalculator,
  binomialIntervalCalculator,
];

function correctFits(input: { correct: number; assessments: number }): boolean {
  return input.correct <= input.assessments;
}
