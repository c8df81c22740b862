import { type Composition, calciumCarbonateMass, formulaMass } from "./elements.ts";

export const ionNames = [
  "calcium",
  "magnesium",
  "sodium",
  "potassium",
  "bicarbonate",
  "chloride",
  "sulfate",
  "citrate",
] as const;

export type IonName = (typeof ionNames)[number];

/** Concentrations in mg/L; an ion that is left out is absent. */
export type Ions = Readonly<Partial<Record<IonName, number | undefined>>>;

/** The same where every ion that is named has an amount. */
export type IonAmounts = Readonly<Partial<Record<IonName, number>>>;

/** Charge number and formula mass (g/mol) of each ion. Citrate is the fully dissociated C6H5O7³⁻. */
export const ionTable: Readonly<Record<IonName, { charge: number; mass: number }>> = {
  calcium: ion(2, [["Ca", 1]]),
  magnesium: ion(2, [["Mg", 1]]),
  sodium: ion(1, [["Na", 1]]),
  potassium: ion(1, [["K", 1]]),
  bicarbonate: ion(-1, [
    ["H", 1],
    ["C", 1],
    ["O", 3],
  ]),
  chloride: ion(-1, [["Cl", 1]]),
  sulfate: ion(-2, [
    ["S", 1],
    ["O", 4],
  ]),
  citrate: ion(-3, [
    ["C", 6],
    ["H", 5],
    ["O", 7],
  ]),
};

/** Milliequivalents per litre of one ion at a concentration in mg/L. */
export function milliequivalents(name: IonName, milligramsPerLitre: number): number {
  const { charge, mass } = ionTable[name];
  return (milligramsPerLitre * Math.abs(charge)) / mass;
}

export interface ChargeBalance {
  /** meq/L */
  cations: number;
  anions: number;
  /** 100 (C − A)/(C + A), null for water without ions. */
  errorPercent: number | null;
}

/** Charge balance of a water; one mixed from whole salts balances to rounding. */
export function chargeBalance(ions: Ions): ChargeBalance {
  const total = (sign: number) =>
    ionNames
      .filter((name) => Math.sign(ionTable[name].charge) === sign)
      .reduce((sum, name) => sum + milliequivalents(name, ions[name] ?? 0), 0);
  const [cations, anions] = [total(1), total(-1)];
  const sum = cations + anions;
  return { cations, anions, errorPercent: sum === 0 ? null : (100 * (cations - anions)) / sum };
}

/**
 * Hardness and its parts in mg/L as CaCO3, by calculation: 2.497 Ca + 4.118 Mg.
 * Source: APHA/AWWA/WEF, Standard Methods, 2340 B.
 */
export function hardness(ions: Ions): { total: number; calcium: number; magnesium: number } {
  const calcium = 2.497 * (ions.calcium ?? 0);
  const magnesium = 4.118 * (ions.magnesium ?? 0);
  return { total: calcium + magnesium, calcium, magnesium };
}

/** Alkalinity in mg/L as CaCO3, from bicarbonate alone: 0.8202 × HCO3 (half CaCO3 per HCO3). */
export function alkalinity(ions: Ions): number {
  return milliequivalents("bicarbonate", ions.bicarbonate ?? 0) * (calciumCarbonateMass / 2);
}

/** mg/L as CaCO3 in one German, French or English degree and in one grain per US gallon. */
export const hardnessUnits = {
  german: 17.848,
  french: 10,
  english: 14.254,
  grainsPerGallon: 17.118,
} as const;

/** Sum of the ions in mg/L. */
export function mineralContent(ions: Ions): number {
  return ionNames.reduce((sum, name) => sum + (ions[name] ?? 0), 0);
}

/** Two waters' ions added ion by ion, each first multiplied by its share. */
export function mixIons(parts: readonly { ions: Ions; share: number }[]): IonAmounts {
  const present = ionNames.filter((name) => parts.some(({ ions }) => ions[name] !== undefined));
  return Object.fromEntries(
    present.map((name) => [
      name,
      parts.reduce((sum, { ions, share }) => sum + share * (ions[name] ?? 0), 0),
    ]),
  );
}

function ion(charge: number, composition: Composition) {
  return { charge, mass: formulaMass(composition) };
}
