import { z } from "zod";
import { type Grid, gridOf, gridOfDifferences } from "../statistics/decimals.ts";
import { equivalence } from "../statistics/equivalence.ts";
import { pairedScores, pairedSize } from "../statistics/paired.ts";
import type { ExactProbability } from "../statistics/subset-sum.ts";
import { type Calculator, defineCalculator, type Refusal } from "./calculator.ts";
import {
  alphaField,
  confidenceField,
  finiteOrNull,
  openIntervalField,
  powerField,
} from "./fields.ts";
import { valueField } from "./sample-fields.ts";

const score = valueField("a score");

const sample = {
  pairs: z
    .array(z.tuple([score, score], { error: "Give a pair as [a, b]." }))
    .min(1, { error: "Give at least one pair." })
    .max(100_000, { error: "Give at most 100000 pairs." })
    .optional(),
  differences: z
    .array(score)
    .min(1, { error: "Give at least one difference." })
    .max(100_000, { error: "Give at most 100000 differences." })
    .optional(),
};

interface Sample {
  pairs?: [number, number][] | undefined;
  differences?: number[] | undefined;
}

function eitherPairsOrDifferences({ pairs, differences }: Sample): boolean {
  return (pairs === undefined) !== (differences === undefined);
}

const eitherMessage = {
  error: "Give either pairs or differences, not both and not neither.",
  path: ["pairs"],
};

function differencesOf({ pairs, differences }: Sample): Grid {
  return pairs ? gridOfDifferences(pairs) : gridOf(differences ?? []);
}

function refuseSample({ pairs }: Sample, message: string): Refusal {
  return { refused: [{ path: [pairs ? "pairs" : "differences"], message }] };
}

const scores = defineCalculator({
  name: "paired-scores",
  summary: "Tests paired scores exactly by sign flips, signed rank and signs, with the t interval.",
  input: z
    .strictObject({
      ...sample,
      alternative: z
        .enum(["two-sided", "greater", "less"], {
          error: "Give the alternative as two-sided, greater or less.",
        })
        .default("two-sided"),
      confidence: confidenceField,
    })
    .refine(eitherPairsOrDifferences, eitherMessage),
  output: z.object({
    n: z.number(),
    meanDifference: z.number(),
    sdDifference: finiteOrNull,
    t: z.object({
      statistic: finiteOrNull,
      df: finiteOrNull,
      pValue: finiteOrNull,
      lower: finiteOrNull,
      upper: finiteOrNull,
    }),
    signedRank: z.object({ statistic: z.number(), n: z.number(), pValue: z.number() }),
    sign: z.object({ positive: z.number(), negative: z.number(), pValue: z.number() }),
    randomisation: z.object({
      pValue: finiteOrNull.describe(
        "Null when an exact one is out of reach: none is approximated.",
      ),
      exact: z.boolean(),
      reason: z.string().optional().describe("Why there is no exact p, when there is none."),
    }),
  }),
  compute(input) {
    const result = pairedScores(differencesOf(input), input.alternative, input.confidence);
    const { probability, ...ranked } = result.signedRank;
    if (!probability.ok) return refuseSample(input, probability.refusal);
    return {
      ...result,
      signedRank: { ...ranked, pValue: probability.pValue },
      randomisation: exactOrWhyNot(result.randomisation),
    };
  },
});

function exactOrWhyNot(answer: ExactProbability) {
  return answer.ok
    ? { pValue: answer.pValue, exact: true }
    : { pValue: null, exact: false, reason: answer.refusal };
}

const size = defineCalculator({
  name: "paired-size",
  summary: "Finds how many pairs a paired t test needs for a difference and a standard deviation.",
  input: z.strictObject({
    difference: valueField("the difference").refine((value) => value !== 0, {
      error: "Give a difference other than 0: none can be found.",
    }),
    sd: valueField("the standard deviation").positive({
      error: "Give the standard deviation of the differences above 0.",
    }),
    alpha: alphaField,
    power: powerField,
    sides: z.enum(["one", "two"], { error: "Give the sides as one or two." }).default("two"),
  }),
  output: z.object({
    pairs: finiteOrNull.describe("Null when more than a million pairs are needed."),
    achievedPower: finiteOrNull,
  }),
  compute({ difference, sd, power, alpha, sides }) {
    return pairedSize(difference, sd, power, alpha, sides) ?? beyondSearch;
  },
});

/** No number of pairs up to the search's end reaches the power. */
const beyondSearch = { pairs: null, achievedPower: null };

const oneSidedTest = z.object({ t: finiteOrNull, pValue: finiteOrNull });

const equivalent = defineCalculator({
  name: "equivalence",
  summary: "Shows by two one-sided tests that paired differences lie within margins.",
  input: z
    .strictObject({
      ...sample,
      lower: valueField("the lower margin"),
      upper: valueField("the upper margin"),
      alpha: alphaField.refine((alpha) => alpha < 0.5, { error: "Give alpha below 0.5." }),
      brewerOrder: z.array(z.string().trim().min(1).max(100)).optional(),
    })
    .refine(eitherPairsOrDifferences, eitherMessage)
    .refine(({ lower, upper }) => lower < upper, {
      error: "Give an upper margin above the lower one.",
      path: ["upper"],
    })
    .refine(
      ({ pairs, differences, brewerOrder }) =>
        !brewerOrder || brewerOrder.length === (pairs ?? differences ?? []).length,
      { error: "Give one brewer label for each pair.", path: ["brewerOrder"] },
    )
    .refine(({ brewerOrder }) => !brewerOrder || new Set(brewerOrder).size === 2, {
      error: "Give exactly two different labels, one for each order of the brewers.",
      path: ["brewerOrder"],
    }),
  output: z.object({
    n: z.number(),
    meanDifference: z.number(),
    lowerTest: oneSidedTest,
    upperTest: oneSidedTest,
    pValue: finiteOrNull,
    interval: openIntervalField,
    equivalent: z.boolean(),
  }),
  compute(input) {
    const { lower, upper, alpha, brewerOrder } = input;
    return equivalence(differencesOf(input), { lower, upper, alpha }, brewerOrder);
  },
});

/** Calculators for differences between two cups that were scored by the same taster or brew pair. */
export const pairedCalculators: Calculator[] = [scores, size, equivalent];
