import { z } from "zod";
import { dilutedStrength, temperatureAfterDose } from "../brew/dilution.ts";
import { waterDensity } from "../water/density.ts";
import { defineCalculator } from "./calculator.ts";
import { beverageGrams, from0, tdsPercent, temperature } from "./water-fields.ts";

export const doseDilutionCalculator = defineCalculator({
  name: "dose-dilution",
  summary: "How a dose or sham dose thins and cools a finished coffee.",
  input: z.strictObject({
    beverageGrams,
    addedMillilitres: from0("the dose", 100_000, "mL"),
    tdsPercent,
    beverageTemperature: temperature.default(70),
    doseTemperature: temperature.default(20),
  }),
  output: z.object({ tdsPercent: z.number(), temperature: z.number() }),
  compute: (input) => {
    const { beverageGrams: grams, addedMillilitres, doseTemperature } = input;
    const doseGrams = (addedMillilitres * waterDensity(doseTemperature)) / 1000;
    return {
      tdsPercent: dilutedStrength(input.tdsPercent, grams, addedMillilitres),
      temperature: temperatureAfterDose(
        { grams, temperature: input.beverageTemperature },
        { grams: doseGrams, temperature: doseTemperature },
      ),
    };
  },
});
