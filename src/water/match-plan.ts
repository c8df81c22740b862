import type { IonName, Ions } from "./ions.ts";
import type { SaltAmount } from "./recipe.ts";
import type { Weighing } from "./weighing.ts";

/** One transfer factor for every ion, or one per ion (1 where none is named). */
export type Transfer = number | Readonly<Partial<Record<IonName, number | undefined>>>;

/** What the scale, the pipette and the brewer are good for; standard uncertainties, 0 if perfect. */
export interface MatchInstruments {
  scaleGrams: number;
  /** Step of the scale's display; weighings are rounded to it. */
  scaleResolutionGrams: number;
  pipetteMillilitres: number;
  yieldGrams: number;
  batchGrams: number;
  stockMillilitres: number;
  kettleLossFraction: number;
  transfer: Transfer;
}

/** What was really weighed and dosed, where known; the plan stands for the rest. */
export interface Weighed {
  batch?: readonly Weighing[] | undefined;
  stock?: readonly Weighing[] | undefined;
  doseMillilitres?: number | undefined;
  shamMillilitres?: number | undefined;
  beverageGrams?: { before?: number | undefined; after?: number | undefined } | undefined;
}

/**
 * A match to work out: the same minerals into the brew water of one arm (`salts`) and into the
 * finished coffee of the other (`afterSalts`; the same, others or none). Concentrations are mg/L of
 * pure salt in the finished cup, on top of what base water and coffee bring.
 */
export interface MatchPlan {
  doseGrams: number;
  brewWaterGrams: number;
  /** Before any dose. */
  beverageGrams: number;
  doseMillilitres: number;
  salts: readonly SaltAmount[];
  afterSalts: readonly SaltAmount[];
  baseIons: Ions;
  transfer: Transfer;
  /** Brew water made at a time; drawn off by weight. */
  batchGrams: number;
  stockMillilitres: number;
  /** Share of the batch boiled off before pouring. */
  kettleLossFraction: number;
  instruments: MatchInstruments;
  weighed: Weighed;
  /** Brews of each arm in the session. */
  brews: { before: number; after: number };
  tolerancePercent: number;
  /** °C at which waters are made and bottles stored. */
  temperature: number;
}

/** The factor that holds for one ion. */
export function transferOf(transfer: Transfer, ion: IonName, otherwise: number): number {
  return typeof transfer === "number" ? transfer : (transfer[ion] ?? otherwise);
}

/** Whether both arms get the same salts in the same amounts. */
export function sameRecipe({ salts, afterSalts }: MatchPlan): boolean {
  if (salts.length === 0 || salts.length !== afterSalts.length) return false;
  return salts.every(({ salt, milligramsPerLitre }) =>
    afterSalts.some(
      (other) => other.salt === salt && other.milligramsPerLitre === milligramsPerLitre,
    ),
  );
}
