import { waterDensity } from "./density.ts";

/** Ions and charged pairs that the water chemistry reckons with. */
export const speciesNames = [
  "calcium",
  "magnesium",
  "sodium",
  "potassium",
  "bicarbonate",
  "carbonate",
  "chloride",
  "sulfate",
  "citrate",
  "hydrogen",
  "hydroxide",
  "calciumBicarbonate",
  "magnesiumBicarbonate",
  "sodiumSulfate",
  "potassiumSulfate",
] as const;

export type Species = (typeof speciesNames)[number];

/** Amounts of every species, mol/kg. */
export type Amounts = Readonly<Record<Species, number>>;

/** Charge, and size (Å) and linear term of the extended Debye–Hückel equation where known. */
interface SpeciesActivity {
  charge: number;
  debyeHuckel?: readonly [size: number, linear: number];
}

const table: Readonly<Record<Species, SpeciesActivity>> = {
  calcium: { charge: 2, debyeHuckel: [5, 0.165] },
  magnesium: { charge: 2, debyeHuckel: [5.5, 0.2] },
  sodium: { charge: 1, debyeHuckel: [4.08, 0.082] },
  potassium: { charge: 1, debyeHuckel: [3.5, 0.015] },
  bicarbonate: { charge: -1, debyeHuckel: [5.4, 0] },
  carbonate: { charge: -2, debyeHuckel: [5.4, 0] },
  chloride: { charge: -1, debyeHuckel: [3.5, 0.015] },
  sulfate: { charge: -2, debyeHuckel: [5, -0.04] },
  citrate: { charge: -3 },
  hydrogen: { charge: 1, debyeHuckel: [9, 0] },
  hydroxide: { charge: -1, debyeHuckel: [3.5, 0] },
  calciumBicarbonate: { charge: 1, debyeHuckel: [6, 0] },
  magnesiumBicarbonate: { charge: 1, debyeHuckel: [4, 0] },
  sodiumSulfate: { charge: -1 },
  potassiumSulfate: { charge: -1 },
};

/** Charge number of a species. */
export function chargeOf(species: Species): number {
  return table[species].charge;
}

/**
 * Activity coefficient of a species at an ionic strength (mol/kg) and a temperature (°C): extended
 * Debye–Hückel with a linear term where its parameters are known, Davies otherwise. Good to an
 * ionic strength of about 0.5 mol/kg.
 * Source: parameters of phreeqc.dat, USGS Techniques and Methods 6-A43 (2013).
 */
export function activityCoefficient(
  species: Species,
  ionicStrength: number,
  temperature: number,
): number {
  const { charge, debyeHuckel } = table[species];
  const { slope, sizeFactor } = debyeHuckelConstants(temperature);
  const root = Math.sqrt(ionicStrength);
  if (!debyeHuckel) {
    return 10 ** (-slope * charge ** 2 * (root / (1 + root) - 0.3 * ionicStrength));
  }
  const [size, linear] = debyeHuckel;
  const screened = (slope * charge ** 2 * root) / (1 + sizeFactor * size * root);
  return 10 ** (linear * ionicStrength - screened);
}

/** Activity coefficient of an uncharged species, by the common salting-out term of 0.1 per mol/kg. */
export function neutralActivityCoefficient(ionicStrength: number): number {
  return 10 ** (0.1 * ionicStrength);
}

/** Debye–Hückel A and B from water's density and dielectric constant (Truesdell, Jones 1974). */
function debyeHuckelConstants(temperature: number) {
  const kelvin = temperature + 273.15;
  const dielectric =
    2727.586 + 0.6224107 * kelvin - 466.9151 * Math.log(kelvin) - 52000.87 / kelvin;
  const rootDensity = Math.sqrt(waterDensity(temperature) / 1000);
  const product = dielectric * kelvin;
  return {
    slope: (1.82483e6 * rootDensity) / product ** 1.5,
    sizeFactor: (50.2916 * rootDensity) / Math.sqrt(product),
  };
}

/** Ionic strength in mol/kg: half the sum of amount times charge squared. */
export function ionicStrength(amounts: Amounts): number {
  return speciesNames.reduce((sum, name) => sum + (amounts[name] * chargeOf(name) ** 2) / 2, 0);
}
