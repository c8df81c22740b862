import { z } from "zod";
import { type WaterCaution, waterCautions } from "../water/cautions.ts";
import { conductivity, conductivityModel } from "../water/conductivity.ts";
import {
  alkalinity,
  chargeBalance,
  hardness,
  hardnessUnits,
  type Ions,
  mineralContent,
} from "../water/ions.ts";
import { ionsFromSalts, saltsForIons } from "../water/recipe.ts";
import { type Calculator, defineCalculator } from "./calculator.ts";
import { cupDoseCalculator } from "./cup-dose.ts";
import { matchMineralsCalculator } from "./match-minerals.ts";
import { transferModelsCalculator } from "./transfer-models.ts";
import { waterBatchCheckCalculator } from "./water-batch-check.ts";
import { cautions, from0, ions, ionsOut, purity, salt, temperature } from "./water-fields.ts";

const waterPropertiesCalculator = defineCalculator({
  name: "water-properties",
  summary: "Hardness, alkalinity, charge balance and predicted conductivity of a water.",
  input: z.strictObject({ ions, temperature: temperature.default(25) }),
  output: z.object({
    totalHardness: z.number(),
    calciumHardness: z.number(),
    magnesiumHardness: z.number(),
    alkalinity: z.number(),
    germanHardness: z.number(),
    frenchHardness: z.number(),
    englishHardness: z.number(),
    grainsPerGallon: z.number(),
    mineralContent: z.number(),
    chargeBalance: z.object({
      cations: z.number(),
      anions: z.number(),
      errorPercent: z.number().nullable(),
    }),
    conductivity: z.number(),
    conductivityAtTemperature: z.number(),
    conductivityModel: z.string(),
    warnings: z.array(z.string()),
    cautions,
  }),
  compute: (input) => ({
    ...properties(input.ions),
    conductivityAtTemperature: conductivity(input.ions, input.temperature),
    conductivityModel,
    ...warn(waterCautions(input.ions)),
  }),
});

const saltsToIonsCalculator = defineCalculator({
  name: "salts-to-ions",
  summary: "Ions that weighed salts bring to a water.",
  input: z.strictObject({
    salts: z
      .array(
        z.strictObject({
          salt,
          milligramsPerLitre: from0("the salt's amount", 100_000, "mg/L"),
          purity: purity.optional(),
        }),
      )
      .max(100, { error: "Give at most 100 salts." }),
  }),
  output: z.object({ ions: ionsOut, warnings: z.array(z.string()), cautions }),
  compute: ({ salts }) => {
    const found = ionsFromSalts(salts);
    return { ions: found, ...warn(waterCautions(found)) };
  },
});

const ionsToSaltsCalculator = defineCalculator({
  name: "ions-to-salts",
  summary: "Amounts of the salts at hand that come closest to target ions.",
  input: z.strictObject({
    ions,
    salts: z
      .array(salt)
      .min(1, { error: "Give at least one salt." })
      .max(100, { error: "Give at most 100 salts." })
      .refine((names) => new Set(names).size === names.length, {
        error: "Name each salt once.",
      }),
  }),
  output: z.object({
    salts: z.array(z.object({ salt, milligramsPerLitre: z.number() })),
    achieved: ionsOut,
    residual: ionsOut,
    feasible: z.boolean(),
  }),
  compute: (input) => saltsForIons(input.ions, input.salts),
});

export const waterCalculators: Calculator[] = [
  waterPropertiesCalculator,
  saltsToIonsCalculator,
  ionsToSaltsCalculator,
  matchMineralsCalculator,
  cupDoseCalculator,
  waterBatchCheckCalculator,
  transferModelsCalculator,
];

function properties(water: Ions) {
  const { total, calcium, magnesium } = hardness(water);
  return {
    totalHardness: total,
    calciumHardness: calcium,
    magnesiumHardness: magnesium,
    alkalinity: alkalinity(water),
    germanHardness: total / hardnessUnits.german,
    frenchHardness: total / hardnessUnits.french,
    englishHardness: total / hardnessUnits.english,
    grainsPerGallon: total / hardnessUnits.grainsPerGallon,
    mineralContent: mineralContent(water),
    chargeBalance: chargeBalance(water),
    conductivity: conductivity(water, 25),
  };
}

function warn(found: WaterCaution[]) {
  return { warnings: found.map((caution) => caution.text), cautions: found };
}
