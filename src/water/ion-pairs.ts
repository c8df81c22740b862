import { type Amounts, activityCoefficient, neutralActivityCoefficient } from "./activity.ts";
import { constant, type Equilibrium } from "./equilibria.ts";

/** Equilibrium constants with the activity coefficients folded in, for concentrations in mol/kg. */
export interface PairConstants {
  calciumBicarbonate: number;
  calciumCarbonate: number;
  calciumSulfate: number;
  magnesiumBicarbonate: number;
  magnesiumCarbonate: number;
  magnesiumSulfate: number;
  sodiumSulfate: number;
  potassiumSulfate: number;
  /** Carbonate per bicarbonate is this over the activity of H⁺. */
  secondDissociation: number;
  /** Dissolved CO2 per bicarbonate is this times the activity of H⁺. */
  carbonDioxide: number;
}

/** The constants that hold in a water of this ionic strength (mol/kg) and temperature (°C). */
export function pairConstants(strength: number, temperature: number): PairConstants {
  const gamma = (species: Parameters<typeof activityCoefficient>[0]) =>
    activityCoefficient(species, strength, temperature);
  const neutral = neutralActivityCoefficient(strength);
  const k = (equilibrium: Equilibrium) => constant(equilibrium, temperature);
  const [calcium, magnesium, sulfate] = [gamma("calcium"), gamma("magnesium"), gamma("sulfate")];
  const [bicarbonate, carbonate] = [gamma("bicarbonate"), gamma("carbonate")];
  return {
    calciumBicarbonate:
      (k("calciumBicarbonate") * calcium * bicarbonate) / gamma("calciumBicarbonate"),
    calciumCarbonate: (k("calciumCarbonate") * calcium * carbonate) / neutral,
    calciumSulfate: (k("calciumSulfate") * calcium * sulfate) / neutral,
    magnesiumBicarbonate:
      (k("magnesiumBicarbonate") * magnesium * bicarbonate) / gamma("magnesiumBicarbonate"),
    magnesiumCarbonate: (k("magnesiumCarbonate") * magnesium * carbonate) / neutral,
    magnesiumSulfate: (k("magnesiumSulfate") * magnesium * sulfate) / neutral,
    sodiumSulfate: (k("sodiumSulfate") * gamma("sodium") * sulfate) / gamma("sodiumSulfate"),
    potassiumSulfate:
      (k("potassiumSulfate") * gamma("potassium") * sulfate) / gamma("potassiumSulfate"),
    secondDissociation: (k("secondDissociation") * bicarbonate) / carbonate,
    carbonDioxide: bicarbonate / k("firstDissociation") / neutral,
  };
}

/** A water at one pH: free ions, and the totals that the carbonate balance needs (mol/kg). */
export interface Paired {
  free: Amounts;
  carbonDioxide: number;
  /** Carbonate, free and in pairs. */
  totalCarbonate: number;
}

/**
 * Mass action at a given pH, for given total amounts: substitutes one ion after the other until
 * nothing moves. `totals.bicarbonate` is the alkalinity; hydrogen and hydroxide are those of the pH.
 */
export function pairAt(
  totals: Amounts,
  k: PairConstants,
  { hydrogen, hydroxide, activity }: { hydrogen: number; hydroxide: number; activity: number },
): Paired {
  const carbonatePer = k.secondDissociation / activity;
  const carbonAlkalinity = Math.max(totals.bicarbonate - hydroxide + hydrogen, 0);
  let { calcium, magnesium, sodium, potassium, sulfate, bicarbonate } = totals;
  for (let round = 0; round < 200; round++) {
    const before = sulfate + bicarbonate;
    const carbonate = bicarbonate * carbonatePer;
    calcium =
      totals.calcium /
      (1 +
        k.calciumBicarbonate * bicarbonate +
        k.calciumCarbonate * carbonate +
        k.calciumSulfate * sulfate);
    magnesium =
      totals.magnesium /
      (1 +
        k.magnesiumBicarbonate * bicarbonate +
        k.magnesiumCarbonate * carbonate +
        k.magnesiumSulfate * sulfate);
    sodium = totals.sodium / (1 + k.sodiumSulfate * sulfate);
    potassium = totals.potassium / (1 + k.potassiumSulfate * sulfate);
    sulfate =
      totals.sulfate /
      (1 +
        k.calciumSulfate * calcium +
        k.magnesiumSulfate * magnesium +
        k.sodiumSulfate * sodium +
        k.potassiumSulfate * potassium);
    const paired = k.calciumCarbonate * calcium + k.magnesiumCarbonate * magnesium;
    bicarbonate =
      carbonAlkalinity /
      (1 +
        k.calciumBicarbonate * calcium +
        k.magnesiumBicarbonate * magnesium +
        2 * carbonatePer * (1 + paired));
    if (Math.abs(sulfate + bicarbonate - before) <= 1e-13 * before) break;
  }
  const carbonate = bicarbonate * carbonatePer;
  const paired = k.calciumCarbonate * calcium + k.magnesiumCarbonate * magnesium;
  const free = {
    ...totals,
    ...{ calcium, magnesium, sodium, potassium, sulfate, bicarbonate, carbonate },
    ...{ hydrogen, hydroxide },
    calciumBicarbonate: k.calciumBicarbonate * calcium * bicarbonate,
    magnesiumBicarbonate: k.magnesiumBicarbonate * magnesium * bicarbonate,
    sodiumSulfate: k.sodiumSulfate * sodium * sulfate,
    potassiumSulfate: k.potassiumSulfate * potassium * sulfate,
  };
  return {
    free,
    carbonDioxide: bicarbonate * k.carbonDioxide * activity,
    totalCarbonate: carbonate * (1 + paired),
  };
}
