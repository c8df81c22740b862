import { millilitresOfWater } from "./density.ts";
import { type IonAmounts, type IonName, type Ions, ionNames, mixIons } from "./ions.ts";
import { type MatchPlan, transferOf } from "./match-plan.ts";
import { ionsFromSalts, type SaltAmount } from "./recipe.ts";
import { cationOf, type SaltName } from "./salts.ts";
import type { Weighing } from "./weighing.ts";

export interface BatchSalt extends Weighing {
  purity: number;
  concentrationFactor: number;
}

export interface StockSaltWeighed extends Weighing {
  purity: number;
  gramsPerLitre: number;
}

export interface MatchRecipe {
  batch: BatchSalt[];
  stock: StockSaltWeighed[];
}

/**
 * What to weigh for both arms. Brew water is made at c·(B + v)(1 − ε) ∕ (B·T), T that of the salt's
 * cation, so that after the sham dose v it leaves c in the cup; the stock at c·(B + v) ∕ v. Batch
 * grams are for the volume that `batchGrams` of water fill at the plan's temperature; finished coffee
 * is counted as 1 g/mL, right within 0.3 % at filter strength, and T compares mg/L with mg/L.
 */
export function matchRecipe(plan: MatchPlan): MatchRecipe {
  const { beverageGrams, doseMillilitres, stockMillilitres } = plan;
  const litres = millilitresOfWater(plan.batchGrams, plan.temperature) / 1000;
  return {
    batch: plan.salts.map(({ salt, milligramsPerLitre, purity = 1 }) => {
      const concentrationFactor = factorFor(plan, salt);
      const grams = (milligramsPerLitre * concentrationFactor * litres) / 1000 / purity;
      return { salt, grams, purity, concentrationFactor };
    }),
    stock: plan.afterSalts.map(({ salt, milligramsPerLitre, purity = 1 }) => {
      const finished = beverageGrams + doseMillilitres;
      const gramsPerLitre = (milligramsPerLitre * finished) / (1000 * doseMillilitres) / purity;
      return { salt, purity, gramsPerLitre, grams: (gramsPerLitre * stockMillilitres) / 1000 };
    }),
  };
}

/** How much stronger than the cup the brew water must be for a salt. */
export function factorFor(plan: MatchPlan, salt: SaltName): number {
  const { beverageGrams, doseMillilitres, kettleLossFraction, transfer } = plan;
  const passes = transferOf(transfer, cationOf(salt), 1);
  return ((beverageGrams + doseMillilitres) * (1 - kettleLossFraction)) / (beverageGrams * passes);
}

/** Added ions (mg/L) that the plan puts into each cup when every measure is perfect. */
export function plannedCups(plan: MatchPlan): { before: IonAmounts; after: IonAmounts } {
  // Both ions of a salt are weighed for the cation's transfer; another one leaves them apart.
  const perSalt = plan.salts.map((amount) => {
    const passes = transferOf(plan.transfer, cationOf(amount.salt), 1);
    return scaleEach(pureIons([amount]), (ion) => transferOf(plan.transfer, ion, 1) / passes);
  });
  return {
    before: mixIons(perSalt.map((ions) => ({ ions, share: 1 }))),
    after: pureIons(plan.afterSalts),
  };
}

/** The base water's own ions in a finished cup of either arm, mg/L: brewed with, and sham or stock. */
export function baseInCup({
  baseIons,
  transfer,
  beverageGrams,
  doseMillilitres,
}: MatchPlan): IonAmounts {
  return scaleEach(baseIons, (ion) => {
    const passed = transferOf(transfer, ion, 1) * beverageGrams;
    return (passed + doseMillilitres) / (beverageGrams + doseMillilitres);
  });
}

/** Ions (mg/L) of the mineral brew water as it is made, the base water's included. */
export function brewWaterIons(plan: MatchPlan): IonAmounts {
  const added = plan.salts.map((amount) => ({
    ions: pureIons([amount]),
    share: factorFor(plan, amount.salt),
  }));
  return mixIons([{ ions: plan.baseIons, share: 1 }, ...added]);
}

/** Ions (mg/L) of salts whose amounts are already those of the pure salt. */
export function pureIons(salts: readonly SaltAmount[]): IonAmounts {
  return ionsFromSalts(
    salts.map(({ salt, milligramsPerLitre }) => ({ salt, milligramsPerLitre, purity: 1 })),
  );
}

function scaleEach(ions: Ions, factor: (ion: IonName) => number): IonAmounts {
  const present = ionNames.filter((ion) => ions[ion] !== undefined);
  return Object.fromEntries(present.map((ion) => [ion, (ions[ion] ?? 0) * factor(ion)]));
}
