import type { IonName } from "./ions.ts";
import { type Effect, type Mixture, mixtureEffects, strength } from "./mixture.ts";

/** A stock bottle and what is taken of it. Its name keeps its errors apart from other bottles'. */
export interface DosedBottle {
  name: string;
  mixture: Mixture;
  doseMillilitres: number;
}

/** Standard uncertainties of single operations; 0 where perfect. */
export interface Instruments {
  scaleGrams: number;
  pipetteMillilitres: number;
  /** Of the beverage's mass. */
  yieldGrams: number;
  batchMillilitres: number;
  stockMillilitres: number;
  kettleLossFraction: number;
  transfer: (ion: IonName) => number;
}

/** Added mineral of one ion in a finished cup, mg/L, with what makes it uncertain. */
export interface CupIon {
  milligramsPerLitre: number;
  effects: Effect[];
}

/**
 * The cup that is dosed after brewing: c = Σ A·v ∕ (B + Σ v) over its bottles, A the bottle's
 * strength, v its dose, B the beverage (grams, counted as mL).
 */
export function cupDosedAfter(
  ion: IonName,
  bottles: readonly DosedBottle[],
  beverage: number,
  instruments: Instruments,
): CupIon {
  const volume = beverage + sum(bottles.map((bottle) => bottle.doseMillilitres));
  const brought = bottles.map((bottle) => strength(ion, bottle.mixture) * bottle.doseMillilitres);
  const concentration = sum(brought) / volume;
  return {
    milligramsPerLitre: concentration,
    effects: [
      ...bottles.flatMap((bottle) =>
        mixtureEffects(ion, bottle, ofStock(instruments), bottle.doseMillilitres / volume),
      ),
      ...bottles.map(({ name, mixture }) => ({
        source: `dose from ${name}`,
        milligramsPerLitre:
          ((strength(ion, mixture) - concentration) / volume) * instruments.pipetteMillilitres,
      })),
      {
        source: "beverage mass, after arm",
        milligramsPerLitre: (-concentration / volume) * instruments.yieldGrams,
      },
    ],
  };
}

/** What became of the brew water on its way to the cup. */
export interface Passage {
  beverage: number;
  shamMillilitres: number;
  /** Share boiled off between making the water and pouring it. */
  kettleLossFraction: number;
  /** Transfer factor of the ion. */
  transfer: number;
}

/**
 * The cup whose minerals came with the brew water: c = a·T·B ∕ ((1 − ε)(B + m)), a the water's
 * strength, T the transfer, ε the kettle's loss, m the sham dose. `water` is weighed salts in a
 * batch, or bottles dosed into a volume of base water.
 */
export function cupBrewedWith(
  ion: IonName,
  water: { batch: Mixture } | { bottles: readonly DosedBottle[]; millilitres: number },
  passage: Passage,
  instruments: Instruments,
): CupIon {
  const { beverage, shamMillilitres, kettleLossFraction, transfer } = passage;
  const volume = beverage + shamMillilitres;
  const share = (transfer * beverage) / (1 - kettleLossFraction) / volume;
  const source =
    "batch" in water
      ? batchWater(ion, water.batch, instruments)
      : dosedWater(ion, water.bottles, water.millilitres, instruments);
  const concentration = source.milligramsPerLitre * share;
  const remains = concentration / volume;
  const effect = (cause: string, amount: number) => ({ source: cause, milligramsPerLitre: amount });
  return {
    milligramsPerLitre: concentration,
    effects: [
      ...source.effects.map((part) => effect(part.source, part.milligramsPerLitre * share)),
      effect("transfer", (concentration / transfer) * instruments.transfer(ion)),
      effect(
        "kettle loss",
        (concentration / (1 - kettleLossFraction)) * instruments.kettleLossFraction,
      ),
      effect("sham dose", -remains * instruments.pipetteMillilitres),
      effect(
        "beverage mass, before arm",
        ((remains * shamMillilitres) / beverage) * instruments.yieldGrams,
      ),
    ],
  };
}

function batchWater(ion: IonName, batch: Mixture, instruments: Instruments): CupIon {
  return {
    milligramsPerLitre: strength(ion, batch),
    effects: mixtureEffects(
      ion,
      { name: "batch", mixture: batch },
      { grams: instruments.scaleGrams, millilitres: instruments.batchMillilitres },
      1,
    ),
  };
}

function dosedWater(
  ion: IonName,
  bottles: readonly DosedBottle[],
  millilitres: number,
  instruments: Instruments,
): CupIon {
  const parts = bottles.map((bottle) => ({
    bottle,
    share: bottle.doseMillilitres / millilitres,
    strength: strength(ion, bottle.mixture),
  }));
  const concentration = sum(parts.map((part) => part.strength * part.share));
  return {
    milligramsPerLitre: concentration,
    effects: [
      ...parts.flatMap(({ bottle, share }) =>
        mixtureEffects(ion, bottle, ofStock(instruments), share),
      ),
      ...parts.map((part) => ({
        source: `${part.bottle.name} into brew water`,
        milligramsPerLitre: (part.strength / millilitres) * instruments.pipetteMillilitres,
      })),
      {
        source: "batch volume",
        milligramsPerLitre: (-concentration / millilitres) * instruments.batchMillilitres,
      },
    ],
  };
}

function ofStock({ scaleGrams, stockMillilitres }: Instruments) {
  return { grams: scaleGrams, millilitres: stockMillilitres };
}

function sum(values: readonly number[]): number {
  return values.reduce((total, value) => total + value, 0);
}
