import { z } from "zod";
import { indexIncrements, mineralReadingFactor, type ReadSalt } from "../brew/refractometer.ts";
import { defineCalculator } from "./calculator.ts";
import { above0 } from "./water-fields.ts";

const salt = z.enum(
  Object.keys(indexIncrements).filter((name): name is ReadSalt => name in indexIncrements),
  { error: "Give the salt without its crystal water, such as magnesium-chloride." },
);

export const mineralReadingCalculator = defineCalculator({
  name: "mineral-reading",
  summary: "How strongly a coffee refractometer reads a mixture of salts as if it were coffee.",
  input: z.strictObject({
    salts: z
      .array(
        z.strictObject({
          salt,
          milligramsPerLitre: above0("the anhydrous salt's amount", 100_000, "mg/L"),
        }),
      )
      .min(1, { error: "Give at least one salt." })
      .max(100, { error: "Give at most 100 salts." }),
  }),
  output: z.object({
    mineralMilligramsPerLitre: z.number(),
    mineralReadingFactor: z.number().nullable(),
  }),
  compute: ({ salts }) => ({
    mineralMilligramsPerLitre: salts.reduce((sum, entry) => sum + entry.milligramsPerLitre, 0),
    mineralReadingFactor: mineralReadingFactor(salts),
  }),
});
