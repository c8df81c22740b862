import { z } from "zod";
import { doseForTarget, doseOfDrops, uncalibratedDropper } from "../water/cup-dose.ts";
import { defineCalculator } from "./calculator.ts";
import { above0, beverageGrams, from0, salt } from "./water-fields.ts";

export const cupDoseCalculator = defineCalculator({
  name: "cup-dose",
  summary: "Drops or millilitres of a stock that bring a cup to a target, or what drops did.",
  input: z
    .strictObject({
      beverageGrams,
      target: z
        .strictObject({
          salt,
          milligramsPerLitre: above0("the target", 100_000, "mg/L"),
        })
        .optional(),
      drops: from0("the drops", 100_000, "").optional(),
      stockGramsPerLitre: above0("the stock's strength", 3000, "g/L"),
      dropMillilitres: above0("the drop's volume", 1, "mL").default(
        uncalibratedDropper.dropMillilitres,
      ),
      dropRelativeUncertainty: from0("the drop's relative uncertainty", 1, "").default(
        uncalibratedDropper.dropRelativeUncertainty,
      ),
    })
    .refine((input) => (input.target === undefined) !== (input.drops === undefined), {
      error: "Give either a target or a number of drops, not both and not neither.",
      path: ["target"],
    }),
  output: z.object({
    millilitres: z.number(),
    drops: z.number(),
    milligramsPerLitre: z.number(),
    standardUncertainty: z.number(),
    dilutionPercent: z.number(),
  }),
  compute: ({ beverageGrams: beverage, target, drops, stockGramsPerLitre, ...dropper }) => {
    if (target === undefined) return doseOfDrops(beverage, drops ?? 0, stockGramsPerLitre, dropper);
    const { milligramsPerLitre } = target;
    const dose = doseForTarget(beverage, milligramsPerLitre, stockGramsPerLitre, dropper);
    if (dose) return dose;
    const message = "Take a stronger stock: this one is no stronger than the target.";
    return { refused: [{ path: ["stockGramsPerLitre"], message }] };
  },
});
