import { z } from "zod";
import { type ExtractionRefusal, extraction } from "../brew/extraction.ts";
import { brewerParity } from "../brew/parity.ts";
import { type Calculator, defineCalculator, type Refusal } from "./calculator.ts";
import { doseDilutionCalculator } from "./dose-dilution.ts";
import { mineralReadingCalculator } from "./mineral-reading.ts";
import {
  above0,
  beverageGrams,
  brewWaterGrams,
  doseGrams,
  from0,
  label,
  tdsPercent,
} from "./water-fields.ts";

const interval = z.object({
  estimate: z.number(),
  lower: z.number().nullable(),
  upper: z.number().nullable(),
});

const extractionInput = z
  .strictObject({
    doseGrams,
    beverageGrams,
    tdsPercent: tdsPercent.optional(),
    readings: z
      .array(tdsPercent)
      .min(1, { error: "Give at least one reading." })
      .max(1000)
      .optional(),
    kind: z.enum(["percolation", "immersion"], {
      error: "Give the kind as percolation (filter, espresso) or immersion (steeped).",
    }),
    brewWaterGrams: brewWaterGrams.optional(),
    addedMillilitres: from0("the added volume", 1_000_000, "mL").optional(),
    mineralMilligramsPerLitre: from0("the minerals in the liquid read", 100_000, "mg/L").optional(),
    mineralReadingFactor: from0("the reading factor", 10, "").default(1),
    uncertainties: z
      .strictObject({
        doseGrams: from0("the dose's standard uncertainty", 1000, "g").optional(),
        beverageGrams: from0("the beverage's standard uncertainty", 100_000, "g").optional(),
        tdsPercent: from0("the reading's standard uncertainty", 10, "%").optional(),
      })
      .optional()
      .describe(
        "Standard uncertainties; 0 is exact. What is not given is that of usual instruments: the dose " +
          "weighed by difference on a 0.01 g scale (0.0168 g), the beverage on a 0.1 g scale " +
          "(0.168 g), a refractometer of ± 0.03 % (0.0173 %).",
      ),
  })
  .refine((input) => (input.tdsPercent === undefined) !== (input.readings === undefined), {
    error: "Give either tdsPercent or readings, not both and not neither.",
    path: ["tdsPercent"],
  });

const refusals: Record<ExtractionRefusal, { path: string; message: string }> = {
  "brew-water-missing": {
    path: "brewWaterGrams",
    message: "Give the brew water: an immersion's yield rests on it.",
  },
  "beverage-exceeds-balance": {
    path: "beverageGrams",
    message: "Check the masses: the beverage weighs more than brew water and dose together.",
  },
  "minerals-exceed-reading": {
    path: "mineralMilligramsPerLitre",
    message: "Check the minerals: they account for more than the whole reading.",
  },
  "extraction-exceeds-dose": {
    path: "doseGrams",
    message: "Check dose, beverage and reading: more would be dissolved than coffee was dosed.",
  },
};

const extractionCalculator = defineCalculator({
  name: "extraction",
  summary:
    "Extraction yield with its uncertainty, corrected for minerals and for a later dilution.",
  input: extractionInput,
  output: z.object({
    tdsPercent: z.number(),
    coffeeTdsPercent: z.number(),
    extractionPercent: z.number(),
    standardUncertainty: z.number(),
    brewRatio: z.number().nullable(),
    zone: z.object({
      extraction: z.enum(["under", "ideal", "over"]),
      strength: z.enum(["weak", "ideal", "strong"]),
    }),
    contributions: z.array(
      z.object({
        name: z.string(),
        value: z.number(),
        standardUncertainty: z.number(),
        sensitivity: z.number(),
        contribution: z.number(),
      }),
    ),
  }),
  compute: ({ tdsPercent: single, readings, ...brew }) => {
    const readingsPercent = readings ?? (single === undefined ? [] : [single]);
    const result = extraction({ ...brew, readingsPercent });
    if (!result.ok) return refused(refusals[result.refusal]);
    const { ok, ...output } = result;
    return output;
  },
});

const brewerParityCalculator = defineCalculator({
  name: "brewer-parity",
  summary: "Whether brewers agree in time and yield within tolerances, from blank runs.",
  input: z.strictObject({
    runs: z
      .array(
        z.strictObject({
          brewer: label("the brewer's name"),
          brewSeconds: above0("the brew time", 1_000_000, "s"),
          beverageGrams,
        }),
      )
      .min(2, { error: "Give at least two runs." })
      .max(10_000),
    toleranceSeconds: from0("the tolerance in time", 100_000, "s"),
    toleranceGrams: from0("the tolerance in mass", 100_000, "g"),
  }),
  output: z.object({
    differences: z.object({ seconds: z.number(), grams: z.number() }),
    passes: z.boolean(),
    intervals: z.object({ seconds: interval, grams: interval }),
    means: z.array(
      z.object({
        brewer: z.string(),
        runs: z.number(),
        brewSeconds: z.number(),
        beverageGrams: z.number(),
      }),
    ),
  }),
  compute: ({ runs, toleranceSeconds, toleranceGrams }) => {
    const result = brewerParity(runs, { seconds: toleranceSeconds, grams: toleranceGrams });
    if (!result.ok) return refused({ path: "runs", message: "Give runs of two or more brewers." });
    const { ok, ...output } = result;
    return output;
  },
});

export const brewCalculators: Calculator[] = [
  extractionCalculator,
  brewerParityCalculator,
  doseDilutionCalculator,
  mineralReadingCalculator,
];

function refused({ path, message }: { path: string; message: string }): Refusal {
  return { refused: [{ path: [path], message }] };
}
