import { z } from "zod";
import {
  type BatchAgreement,
  batchAgreement,
  titratedAlkalinity,
  titratedHardness,
} from "./batch-check.ts";
import { conductivity } from "./conductivity.ts";
import { alkalinity, hardness, type Ions } from "./ions.ts";

const above0 = z.number().positive();

/**
 * One measurement of a water. Conductivity in µS/cm, either compensated by the meter to 25 °C or as
 * read at the sample's temperature; titrations by mL of titrant (mol/L) on mL of sample. The
 * standard uncertainty is relative. `parts`: diluted one part in so many before measuring.
 */
export const batchReadingSchema = z.discriminatedUnion("kind", [
  z.object({
    kind: z.literal("conductivity"),
    microsiemensPerCentimetre: z.number().min(0),
    sampleTemperature: z.number(),
    compensated: z.boolean(),
    relativeUncertainty: z.number().min(0),
    parts: above0,
  }),
  z.object({
    kind: z.enum(["hardness", "alkalinity"]),
    millilitres: z.number().min(0),
    molarity: above0,
    sampleMillilitres: above0,
    relativeUncertainty: z.number().min(0),
    parts: above0,
  }),
]);

export type BatchReading = z.infer<typeof batchReadingSchema>;

export interface ReadingCheck extends BatchAgreement {
  predicted: number;
  measured: number;
}

/** What a prediction is good for: the conductivity model 3 %, hardness and alkalinity 1 % by weighing. */
const predictionUncertainty = { conductivity: 0.03, hardness: 0.01, alkalinity: 0.01 } as const;

/** Whether a water with these ions (mg/L, as measured, so diluted ones) reads as predicted. */
export function checkReading(ions: Ions, reading: BatchReading): ReadingCheck {
  const predicted = predictedReading(ions, reading);
  const measured = measuredValue(reading);
  const agreement = batchAgreement(
    { value: predicted, standardUncertainty: predictionUncertainty[reading.kind] * predicted },
    { value: measured, standardUncertainty: reading.relativeUncertainty * measured },
  );
  return { predicted, measured, ...agreement };
}

function predictedReading(ions: Ions, reading: BatchReading): number {
  if (reading.kind === "conductivity") {
    return conductivity(ions, reading.compensated ? 25 : reading.sampleTemperature);
  }
  return reading.kind === "hardness" ? hardness(ions).total : alkalinity(ions);
}

function measuredValue(reading: BatchReading): number {
  if (reading.kind === "conductivity") return reading.microsiemensPerCentimetre;
  return reading.kind === "hardness" ? titratedHardness(reading) : titratedAlkalinity(reading);
}
