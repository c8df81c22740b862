import { z } from "zod";
import { caffeineLoad, usualCaffeineMilligramsPer100mL } from "../safety/caffeine.ts";
import { type Calculator, defineCalculator } from "./calculator.ts";
import { above0, from0 } from "./water-fields.ts";

const caffeineLoadCalculator = defineCalculator({
  name: "caffeine-load",
  summary: "Caffeine that a taster swallows in one sitting, against the EFSA limit.",
  input: z.strictObject({
    cups: z
      .int({ error: "Give the cups as a whole number." })
      .min(1, { error: "Give at least 1 cup." })
      .max(1000, { error: "Check the cups: nobody tastes more than 1000." }),
    millilitresPerCup: above0("the volume per cup", 2000, "mL"),
    milligramsPer100mL: from0("the caffeine content", 1000, "mg per 100 mL").default(
      usualCaffeineMilligramsPer100mL,
    ),
    swallowedFraction: from0("the share swallowed", 1, "(1 = everything)").default(1),
    pregnant: z.boolean({ error: "Give pregnant as true or false." }).optional(),
  }),
  output: z.object({
    milligrams: z.number(),
    limitMilligrams: z.number(),
    withinLimit: z.boolean(),
    source: z.string(),
  }),
  compute: caffeineLoad,
});

export const safetyCalculators: Calculator[] = [caffeineLoadCalculator];
