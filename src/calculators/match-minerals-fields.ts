import { z } from "zod";
import {
  above0,
  beverageGrams,
  brewWaterGrams,
  cautions,
  doseGrams,
  from0,
  ions,
  ionsOut,
  purity,
  salt,
  temperature,
} from "./water-fields.ts";

const targetSalts = z
  .array(
    z.strictObject({
      salt,
      milligramsPerLitre: from0("the salt in the finished cup", 10_000, "mg/L"),
      purity: purity.optional(),
    }),
  )
  .max(20, { error: "Give at most 20 salts." })
  .refine((list) => new Set(list.map((entry) => entry.salt)).size === list.length, {
    error: "Name each salt once.",
  });

const weighings = z.array(z.strictObject({ salt, grams: from0("the mass weighed", 100_000, "g") }));

const factor = above0("the transfer factor", 2, "(1 = spread evenly)");
const perIonFactor = z.strictObject({
  calcium: factor.optional(),
  magnesium: factor.optional(),
  sodium: factor.optional(),
  potassium: factor.optional(),
  bicarbonate: factor.optional(),
  chloride: factor.optional(),
  sulfate: factor.optional(),
  citrate: factor.optional(),
});

const spread = from0("the transfer's standard uncertainty", 1, "");
const perIonSpread = z.strictObject({
  calcium: spread.optional(),
  magnesium: spread.optional(),
  sodium: spread.optional(),
  potassium: spread.optional(),
  bicarbonate: spread.optional(),
  chloride: spread.optional(),
  sulfate: spread.optional(),
  citrate: spread.optional(),
});

const instruments = z.strictObject({
  scaleGrams: from0("the scale's standard uncertainty", 1000, "g")
    .optional()
    .describe(
      "Standard uncertainty of a mass weighed by difference; about 1.68 steps of a usual scale.",
    ),
  scaleResolutionGrams: from0("the scale's display step", 1000, "g")
    .optional()
    .describe(
      "Step that weighings are rounded to; by default the power of ten nearest to scaleGrams ÷ 1.68, " +
        "and none where scaleGrams is 0 or absent.",
    ),
  pipetteMillilitres: from0("the pipette's standard uncertainty", 1000, "mL").optional(),
  yieldGrams: from0("the beverage mass's standard uncertainty", 10_000, "g").optional(),
  batchGrams: from0("the batch mass's standard uncertainty", 10_000, "g").optional(),
  stockMillilitres: from0("the stock volume's standard uncertainty", 10_000, "mL").optional(),
  kettleLossFraction: from0("the kettle loss's standard uncertainty", 1, "").optional(),
  transfer: z.union([spread, perIonSpread]).optional(),
});

const brewCount = z
  .int({ error: "Give the brews as a whole number." })
  .min(0, { error: "Give the brews as 0 or more." })
  .max(1000, { error: "Check the brews: more than 1000 are not plausible." });

export const matchInput = z.strictObject({
  doseGrams,
  brewWaterGrams,
  beverageGrams,
  doseMillilitres: above0("the dose", 100_000, "mL"),
  salts: targetSalts,
  afterSalts: targetSalts.optional(),
  baseIons: ions.default({}),
  transfer: z.union([factor, perIonFactor]).default(1),
  batchGrams: above0("the batch of brew water", 10_000_000, "g").optional(),
  stockMillilitres: above0("the stock's volume", 1_000_000, "mL").optional(),
  kettleLossFraction: from0("the kettle's loss", 0.5, "(a fraction)").default(0),
  instruments: instruments.default({}),
  weighed: z
    .strictObject({
      batch: weighings.optional(),
      stock: weighings.optional(),
      doseMillilitres: above0("the dose given", 100_000, "mL").optional(),
      shamMillilitres: above0("the sham dose given", 100_000, "mL").optional(),
      beverageGrams: z
        .strictObject({ before: beverageGrams.optional(), after: beverageGrams.optional() })
        .optional(),
    })
    .default({}),
  brews: z.strictObject({ before: brewCount, after: brewCount }).default({ before: 1, after: 1 }),
  tolerancePercent: from0("the tolerance", 100, "%").default(2),
  temperature: temperature.default(20),
});

const agreement = z.object({
  percent: z.number().nullable(),
  expandedUncertaintyPercent: z.number().nullable(),
  verdict: z.enum(["passes", "fails", "not-demonstrated"]),
});

const mismatch = agreement.extend({
  passes: z.boolean(),
  fromIntention: agreement,
  ions: z.array(
    agreement.extend({
      ion: z.string(),
      before: z.number(),
      after: z.number(),
      milligramsPerLitre: z.number(),
      standardUncertainty: z.number(),
      fromIntention: agreement,
      budget: z.array(z.object({ source: z.string(), milligramsPerLitre: z.number() })),
    }),
  ),
});

const oneStock = z.object({
  beforeMillilitres: z.number(),
  batchMillilitres: z.number(),
  afterMillilitres: z.number(),
  mismatch,
});

const water = z.object({
  totalHardness: z.number(),
  alkalinity: z.number(),
  conductivity: z.number(),
});

export const matchOutput = z.object({
  before: z.object({
    concentrationFactor: z.number().nullable(),
    batch: z.array(z.object({ salt, grams: z.number(), concentrationFactor: z.number() })),
    batchGrams: z.number(),
    shamMillilitres: z.number(),
    ions: ionsOut,
    properties: water,
  }),
  after: z.object({
    stock: z.array(z.object({ salt, grams: z.number(), gramsPerLitre: z.number() })),
    stockMillilitres: z.number(),
    doseMillilitres: z.number(),
    bottles: z.array(
      z.object({
        salts: z.array(z.object({ salt, grams: z.number(), gramsPerLitre: z.number() })),
        doseMillilitres: z.number(),
      }),
    ),
  }),
  predicted: z.object({ before: ionsOut, after: ionsOut }),
  predictedProperties: z.object({ before: water, after: water }),
  mockCups: z.object({ before: z.number(), after: z.number() }),
  conductivityModel: z.string(),
  mismatch,
  oneStock: oneStock.nullable(),
  doubleDummy: oneStock.nullable(),
  needs: z.object({
    coffeeGrams: z.number(),
    baseWaterGrams: z.number(),
    batches: z.number(),
    stocks: z.number(),
    salts: z.array(z.object({ salt, grams: z.number() })),
  }),
  warnings: z.array(z.string()),
  cautions,
  advice: z.array(z.string()),
});
