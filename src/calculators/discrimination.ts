import { z } from "zod";
import { criticalCounts } from "../statistics/binomial.ts";
import {
  discriminationTest,
  dPrimeOf,
  methods,
  proportionDistinguishing,
  similarityTest,
} from "../statistics/discrimination.ts";
import { clopperPearson, wilson } from "../statistics/intervals.ts";
import { type Effect, LARGEST_PANEL, panelSize, power } from "../statistics/panel-size.ts";
import { type Calculator, defineCalculator, type Refusal } from "./calculator.ts";
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
  powerField,
  probability,
  proportionDistinguishingField,
  sidesField,
} from "./fields.ts";

const notMoreThanAssessments = {
  error: "Give no more correct answers than assessments.",
  path: ["correct"],
};

const twoSidedOnlyForPairs = {
  error:
    "Two sides suit paired-comparison only: the other methods ask only whether anyone can tell.",
  path: ["sides"],
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
    .refine(sidesFit, twoSidedOnlyForPairs)
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
      margin: probability("the margin, a proportion of distinguishers,"),
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

const effectFields = {
  proportionDistinguishing: proportionDistinguishingField.optional(),
  dPrime: dPrimeField.optional(),
};

const panelSizeCalculator = defineCalculator({
  name: "panel-size",
  summary: "How many assessments: the exact smallest panel for a difference or for similarity.",
  input: z
    .strictObject({
      method: methodField,
      sides: sidesField,
      goal: z.enum(["difference", "similarity"], {
        error: "Give the goal as difference or similarity.",
      }),
      alpha: alphaField,
      power: powerField,
      ...effectFields,
    })
    .refine(sidesFit, twoSidedOnlyForPairs),
  output: z.object({
    assessments: finiteOrNull,
    stableAssessments: finiteOrNull,
    criticalCount: finiteOrNull,
    achievedPower: finiteOrNull,
    achievedAlpha: finiteOrNull,
  }),
  compute: (input) => {
    const effect = effectOf(input);
    if ("refused" in effect) return effect;
    if (Object.values(effect)[0] === 0) return refuseZeroEffect(effect);
    return panelSize({ ...input, effect }) ?? beyondSearch;
  },
});

/** No panel up to the search's end reaches the power. */
const beyondSearch = {
  assessments: null,
  stableAssessments: null,
  criticalCount: null,
  achievedPower: null,
  achievedAlpha: null,
};

const discriminationPowerCalculator = defineCalculator({
  name: "discrimination-power",
  summary: "What a panel of a given size can find: exact power and the alpha really attained.",
  input: z
    .strictObject({
      method: methodField,
      sides: sidesField,
      assessments: assessmentsField,
      alpha: alphaField,
      ...effectFields,
    })
    .refine(sidesFit, twoSidedOnlyForPairs),
  output: z.object({
    criticalCount: finiteOrNull,
    power: z.number(),
    achievedAlpha: z.number(),
  }),
  compute: (input) => {
    const effect = effectOf(input);
    return "refused" in effect ? effect : power({ ...input, effect });
  },
});

const criticalCountsCalculator = defineCalculator({
  name: "critical-counts",
  summary: "The table of critical counts: fewest correct answers that are significant.",
  input: z
    .strictObject({
      method: methodField,
      sides: sidesField,
      alpha: alphaField,
      from: count("from, the first number of assessments,", 1, LARGEST_PANEL),
      to: count("to, the last number of assessments,", 1, LARGEST_PANEL),
    })
    .refine(sidesFit, twoSidedOnlyForPairs)
    .refine((input) => input.from <= input.to, {
      error: "Give a last number of assessments that is not before the first.",
      path: ["to"],
    }),
  output: z.object({
    rows: z.array(z.object({ assessments: z.number(), criticalCount: finiteOrNull })),
  }),
  compute: ({ method, sides, alpha, from, to }) => ({
    rows: criticalCounts(from, to, methods[method].guessing, alpha, sides),
  }),
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
      return refuse("dPrime", "Give exactly one of dPrime and proportionCorrect.");
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
  panelSizeCalculator,
  discriminationPowerCalculator,
  criticalCountsCalculator,
  psychometricCalculator,
  binomialIntervalCalculator,
];

function sidesFit(input: { method: string; sides: "one" | "two" }): boolean {
  return input.sides === "one" || input.method === "paired-comparison";
}

function correctFits(input: { correct: number; assessments: number }): boolean {
  return input.correct <= input.assessments;
}

function effectOf(input: {
  proportionDistinguishing?: number | undefined;
  dPrime?: number | undefined;
}): Effect | Refusal {
  const { proportionDistinguishing, dPrime } = input;
  if (proportionDistinguishing !== undefined && dPrime === undefined) {
    return { proportionDistinguishing };
  }
  if (dPrime !== undefined && proportionDistinguishing === undefined) return { dPrime };
  return refuse(
    "proportionDistinguishing",
    "Give exactly one of proportionDistinguishing and dPrime.",
  );
}

function refuseZeroEffect(effect: Effect): Refusal {
  return refuse(
    Object.keys(effect)[0] ?? "dPrime",
    "Give an effect above 0: no panel finds nothing, nor shows less than nothing.",
  );
}

function refuse(path: string, message: string): Refusal {
  return { refused: [{ path: [path], message }] };
}
