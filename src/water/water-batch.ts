import { z } from "zod";
import type { WaterCaution } from "./cautions.ts";
import { millilitresOfWater } from "./density.ts";
import { type IonAmounts, type Ions, ionNames, mixIons } from "./ions.ts";
import { ionsFromSalts } from "./recipe.ts";
import { saltNames } from "./salts.ts";
import { stockCautions } from "./stock.ts";

export const batchKinds = ["stock", "brew-water", "mock-cup", "base-water"] as const;

export type BatchKind = (typeof batchKinds)[number];

const amount = z.number().min(0);
const ions = z.partialRecord(z.enum(ionNames), amount);

/**
 * A water as it was really made: salts weighed (g, with lot and purity as a fraction) and other
 * batches dosed (mL, with their ions in mg/L at that time) into base water, made up to an amount in
 * g or mL at a temperature in °C.
 */
export const waterBatchSchema = z.object({
  kind: z.enum(batchKinds),
  madeUpTo: z.object({ amount: z.number().positive(), unit: z.enum(["g", "mL"]) }),
  temperature: z.number(),
  baseIons: ions,
  salts: z.array(
    z.object({ salt: z.enum(saltNames), grams: amount, purity: amount, lot: z.string() }),
  ),
  doses: z.array(z.object({ batchId: z.string(), label: z.string(), millilitres: amount, ions })),
});

export type WaterBatch = z.infer<typeof waterBatchSchema>;

/** Millilitres of the whole batch. */
export function batchMillilitres({ madeUpTo, temperature }: WaterBatch): number {
  if (madeUpTo.unit === "mL") return madeUpTo.amount;
  return millilitresOfWater(madeUpTo.amount, temperature);
}

/** Ions in mg/L that follow from what was weighed and dosed; base water fills the rest. */
export function batchIons(batch: WaterBatch): IonAmounts {
  const millilitres = batchMillilitres(batch);
  const dosed = batch.doses.reduce((sum, dose) => sum + dose.millilitres, 0);
  const weighed = batch.salts.map(({ salt, grams, purity }) => ({
    salt,
    purity,
    milligramsPerLitre: (1e6 * grams) / millilitres,
  }));
  return mixIons([
    { ions: batch.baseIons, share: 1 - dosed / millilitres },
    { ions: ionsFromSalts(weighed), share: 1 },
    ...batch.doses.map((dose) => ({ ions: dose.ions, share: dose.millilitres / millilitres })),
  ]);
}

/**
 * What is wrong with a batch as it was weighed: salts beyond what dissolves, in a stock also what can
 * precipitate as it is kept.
 */
export function batchCautions(batch: WaterBatch): WaterCaution[] {
  const litres = batchMillilitres(batch) / 1000;
  const salts = batch.salts.map(({ salt, grams, purity }) => ({
    salt,
    gramsPerLitre: grams / litres,
    purity,
  }));
  return stockCautions(salts, batch).filter(
    ({ code }) => code === "solubility" || batch.kind === "stock",
  );
}

/** A batch diluted before measuring: one part in `parts`, the rest base water. */
export function dilutedIons(made: Ions, base: Ions, parts: number): IonAmounts {
  return mixIons([
    { ions: made, share: 1 / parts },
    { ions: base, share: 1 - 1 / parts },
  ]);
}
