import { z } from "zod";
import { batchAgreement, titratedAlkalinity, titratedHardness } from "../water/batch-check.ts";
import { conductivity } from "../water/conductivity.ts";
import { alkalinity, hardness, type Ions } from "../water/ions.ts";
import { defineCalculator } from "./calculator.ts";
import { above0, from0, ions } from "./water-fields.ts";

const measurement = z.discriminatedUnion("kind", [
  z.strictObject({
    kind: z.literal("conductivity"),
    microsiemensPerCentimetre: from0("the conductivity at 25 °C", 1_000_000, "µS/cm"),
    standardUncertainty: from0("its standard uncertainty", 100_000, "µS/cm"),
  }),
  z.strictObject({
    kind: z.enum(["hardness", "alkalinity"]),
    millilitres: from0("the titrant used", 1000, "mL"),
    molarity: above0("the titrant's concentration", 10, "mol/L"),
    sampleMillilitres: above0("the sample", 10_000, "mL"),
    relativeUncertainty: from0("its relative standard uncertainty", 1, ""),
  }),
]);

export const waterBatchCheckCalculator = defineCalculator({
  name: "water-batch-check",
  summary: "Whether a batch's measured conductivity or titration agrees with what was weighed.",
  input: z.strictObject({
    ions,
    measurement,
    predictionRelativeUncertainty: from0("the prediction's relative uncertainty", 1, "").optional(),
  }),
  output: z.object({
    predicted: z.number(),
    measured: z.number(),
    difference: z.number(),
    expandedUncertainty: z.number(),
    agrees: z.boolean(),
  }),
  compute: ({ ions: made, measurement: read, predictionRelativeUncertainty }) => {
    const predicted = predictedFor(read.kind, made);
    const measured = measuredValue(read);
    // The conductivity model is good to about 3 %; hardness and alkalinity follow from weighings.
    const relative = predictionRelativeUncertainty ?? (read.kind === "conductivity" ? 0.03 : 0.01);
    const agreement = batchAgreement(
      { value: predicted, standardUncertainty: relative * predicted },
      measured,
    );
    return { predicted, measured: measured.value, ...agreement };
  },
});

function predictedFor(kind: z.output<typeof measurement>["kind"], water: Ions): number {
  if (kind === "conductivity") return conductivity(water, 25);
  return kind === "hardness" ? hardness(water).total : alkalinity(water);
}

function measuredValue(read: z.output<typeof measurement>) {
  if (read.kind === "conductivity") {
    const { microsiemensPerCentimetre: value, standardUncertainty } = read;
    return { value, standardUncertainty };
  }
  const value = read.kind === "hardness" ? titratedHardness(read) : titratedAlkalinity(read);
  return { value, standardUncertainty: read.relativeUncertainty * value };
}
