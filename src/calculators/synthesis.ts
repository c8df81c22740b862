import { z } from "zod";
import { benjaminiHochberg, hochberg, holm } from "../statistics/multiplicity.ts";
import { randomEffects } from "../statistics/synthesis.ts";
import { type Calculator, defineCalculator } from "./calculator.ts";
import { confidenceField, intervalField } from "./fields.ts";
import { labelField, valueField } from "./sample-fields.ts";

const pooledEffect = intervalField.extend({ standardError: z.number() });

const studies = defineCalculator({
  name: "random-effects",
  summary: "Combines sessions that asked the same question, with what a new session may expect.",
  input: z.strictObject({
    studies: z
      .array(
        z.strictObject({
          label: labelField("the study"),
          effect: valueField("the effect"),
          variance: valueField("the variance").positive({ error: "Give a variance above 0." }),
        }),
      )
      .min(1, { error: "Give at least one study." })
      .max(1000, { error: "Give at most 1000 studies." }),
    estimator: z
      .enum(["dl", "reml"], { error: "Give the estimator as dl or reml." })
      .default("reml"),
    interval: z
      .enum(["normal", "hksj"], { error: "Give the interval as normal or hksj." })
      .default("hksj"),
    confidence: confidenceField,
  }),
  output: z.object({
    fixed: pooledEffect,
    random: pooledEffect,
    predictionInterval: z.object({ lower: z.number(), upper: z.number() }).nullable(),
    tauSquared: z.number(),
    q: z.object({ statistic: z.number(), df: z.number(), pValue: z.number() }),
    iSquaredPercent: z.number(),
  }),
  compute: ({ studies, ...options }) => randomEffects(studies, options),
});

const adjustments = { holm, hochberg, "benjamini-hochberg": benjaminiHochberg };

const adjust = defineCalculator({
  name: "adjust-p",
  summary: "Adjusts a family of p-values for having asked several questions.",
  input: z.strictObject({
    pValues: z
      .array(
        z
          .number({ error: "Give a p-value as a number." })
          .min(0, { error: "Give a p-value of 0 or more." })
          .max(1, { error: "Give a p-value of at most 1." }),
      )
      .min(1, { error: "Give at least one p-value." })
      .max(100_000, { error: "Give at most 100000 p-values." }),
    kind: z.enum(["holm", "hochberg", "benjamini-hochberg"], {
      error: "Give the kind as holm, hochberg or benjamini-hochberg.",
    }),
  }),
  output: z.object({ adjusted: z.array(z.number()) }),
  compute: ({ pValues, kind }) => ({ adjusted: adjustments[kind](pValues) }),
});

/** Calculators that put several results together: over sessions, and over questions. */
export const synthesisCalculators: Calculator[] = [studies, adjust];
