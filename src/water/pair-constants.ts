import { activityCoefficient, neutralActivityCoefficient } from "./activity.ts";
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
