import { z } from "zod";
import { gridOf } from "../statistics/decimals.ts";
import { describe } from "../statistics/descriptive.ts";
import { friedman } from "../statistics/friedman.ts";
import { twoWay } from "../statistics/variance.ts";
import { type Calculator, defineCalculator } from "./calculator.ts";
import { finiteOrNull } from "./fields.ts";
import { valueField } from "./sample-fields.ts";

const blocks = z
  .array(
    z
      .array(valueField("a value"))
      .min(2, { error: "Give at least two treatments a block." })
      .max(1000, { error: "Give at most 1000 treatments a block." }),
  )
  .min(2, { error: "Give at least two blocks." })
  .max(10_000, { error: "Give at most 10000 blocks." })
  .refine((rows) => rows.every((row) => row.length === rows[0]?.length), {
    error: "Give every block the same number of values: one for each treatment.",
  });

const ranks = defineCalculator({
  name: "friedman",
  summary: "Tests by ranks within blocks whether several treatments differ.",
  input: z.strictObject({ blocks }),
  output: z.object({
    statistic: finiteOrNull,
    df: z.number(),
    pValue: finiteOrNull,
    exactPValue: finiteOrNull,
    meanRanks: z.array(z.number()),
  }),
  compute: ({ blocks }) => friedman(blocks),
});

const varianceRow = z.object({
  f: finiteOrNull,
  df: z.number(),
  errorDf: z.number(),
  pValue: finiteOrNull,
  meanSquare: z.number(),
});

const variance = defineCalculator({
  name: "two-way",
  summary: "Analyses the variance of treatments within blocks, one value a cell.",
  input: z.strictObject({ blocks }),
  output: z.object({ treatment: varianceRow, block: varianceRow, errorMeanSquare: z.number() }),
  compute: ({ blocks }) => twoWay(gridOf(blocks.flat()), blocks[0]?.length ?? 0),
});

const description = defineCalculator({
  name: "describe",
  summary: "Describes a sample: mean, spread, median, quartiles and range.",
  input: z.strictObject({
    values: z
      .array(valueField("a value"))
      .min(1, { error: "Give at least one value." })
      .max(100_000, { error: "Give at most 100000 values." }),
  }),
  output: z.object({
    n: z.number(),
    mean: z.number(),
    standardDeviation: finiteOrNull,
    median: z.number(),
    lowerQuartile: z.number(),
    upperQuartile: z.number(),
    minimum: z.number(),
    maximum: z.number(),
  }),
  compute: ({ values }) => describe(gridOf(values)),
});

/** Calculators for plain measurements: several treatments in blocks, or one sample. */
export const sampleCalculators: Calculator[] = [ranks, variance, description];
