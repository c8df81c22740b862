import { z } from "zod";
import { bedLiquidGrams, transferModels } from "../water/transfer.ts";
import { defineCalculator, type Refusal } from "./calculator.ts";
import { above0, beverageGrams, brewWaterGrams, doseGrams, from0 } from "./water-fields.ts";

export const transferModelsCalculator = defineCalculator({
  name: "transfer-models",
  summary: "Share of the brew water's minerals that reaches the cup, by four pictures of the bed.",
  input: z.strictObject({
    doseGrams,
    brewWaterGrams,
    beverageGrams,
    bedGrams: above0("the wet spent bed", 100_000, "g"),
    steamGrams: from0("the steam lost", 10_000, "g").default(0),
    moisture: from0("the dose's moisture", 0.2, "(a fraction)").default(0.025),
    beverageSolids: from0("the beverage's solids", 0.3, "(a fraction)"),
    bedLiquidSolids: from0("the solids in the bed's liquid", 0.3, "(a fraction)"),
    boundGramsPerGram: from0("the bound water", 2, "g per g").default(0.25),
    uptakeMilligramsPerGram: from0("the uptake", 10, "mg per g").default(0.02),
    addedMilligramsPerKilogram: above0("the mineral in the brew water", 100_000, "mg/kg"),
  }),
  output: z.object({
    bedLiquidGrams: z.number(),
    wellMixed: z.number(),
    plugFlow: z.number(),
    boundWater: z.number(),
    uptake: z.number(),
  }),
  compute: (input) => {
    const liquid = bedLiquidGrams(input);
    if (liquid <= 0) return refused("bedGrams", "Check the bed: it is lighter than its coffee.");
    const left = input.brewWaterGrams - input.steamGrams;
    const bound = (input.boundGramsPerGram - input.moisture) * input.doseGrams;
    if (left <= Math.max(0, bound)) {
      return refused("brewWaterGrams", "Check the water: steam and bed take more than was poured.");
    }
    return { bedLiquidGrams: liquid, ...transferModels(input, input) };
  },
});

function refused(field: string, message: string): Refusal {
  return { refused: [{ path: [field], message }] };
}
