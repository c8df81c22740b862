import {
  type IonAmounts,
  type IonName,
  type Ions,
  ionNames,
  ionTable,
  milliequivalents,
} from "./ions.ts";
import { nonNegativeLeastSquares } from "./non-negative.ts";
import { ionFractions, type SaltName, saltMass, saltTable } from "./salts.ts";

/** An amount of a salt as mg/L of the pure hydrate, or of the lot as weighed with its purity. */
export interface SaltAmount {
  salt: SaltName;
  milligramsPerLitre: number;
  /** Mass fraction of the named hydrate in what is weighed; 1 unless given. */
  purity?: number | undefined;
}

/** Ions in mg/L that weighed salts bring (as weighed, so that purity takes its share). */
export function ionsFromSalts(salts: readonly SaltAmount[]): IonAmounts {
  const fractions = salts.map((amount) => ({
    fractions: ionFractions(amount.salt),
    pure: amount.milligramsPerLitre * (amount.purity ?? 1),
  }));
  const present = ionNames.filter((ion) =>
    fractions.some((entry) => entry.fractions[ion] !== undefined),
  );
  return Object.fromEntries(
    present.map((ion) => [
      ion,
      fractions.reduce((sum, entry) => sum + entry.pure * (entry.fractions[ion] ?? 0), 0),
    ]),
  );
}

export interface SaltRecipe {
  /** mg/L of pure salt, in the order asked. */
  salts: { salt: SaltName; milligramsPerLitre: number }[];
  /** Ions that these salts bring, mg/L. */
  achieved: IonAmounts;
  /** Target less achieved for each ion that was asked for, mg/L. */
  residual: IonAmounts;
  /** Whether every residual is within 0.1 mg/L. */
  feasible: boolean;
}

/**
 * The amounts of the given salts that come closest to target ions: non-negative least squares in
 * meq/L over the ions that the target names. An ion that is not named is free.
 */
export function saltsForIons(target: Ions, salts: readonly SaltName[]): SaltRecipe {
  const wanted = ionNames.filter((ion) => target[ion] !== undefined);
  // One column per salt: the meq of each wanted ion in a meq of the salt.
  const columns = salts.map((salt) => wanted.map((ion) => equivalentShare(salt, ion)));
  const goal = wanted.map((ion) => milliequivalents(ion, target[ion] ?? 0));
  const amounts = nonNegativeLeastSquares(columns, goal);
  const recipe = salts.map((salt, index) => ({
    salt,
    milligramsPerLitre: ((amounts[index] ?? 0) * saltMass(salt)) / equivalents(salt),
  }));
  const achieved = ionsFromSalts(recipe);
  const residual = Object.fromEntries(
    wanted.map((ion) => [ion, (target[ion] ?? 0) - (achieved[ion] ?? 0)]),
  );
  const feasible = Object.values(residual).every((left) => Math.abs(left) <= 0.1);
  return { salts: recipe, achieved, residual, feasible };
}

/** Equivalents of charge, of either sign, in one formula unit. */
function equivalents(salt: SaltName): number {
  const { ions } = saltTable[salt];
  return ionNames.reduce(
    (sum, ion) => sum + Math.max(0, ionTable[ion].charge) * (ions[ion] ?? 0),
    0,
  );
}

function equivalentShare(salt: SaltName, ion: IonName): number {
  const count = saltTable[salt].ions[ion] ?? 0;
  return (count * Math.abs(ionTable[ion].charge)) / equivalents(salt);
}
