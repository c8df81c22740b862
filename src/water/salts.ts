import { waterMass } from "./elements.ts";
import { type IonAmounts, type IonName, ionNames, ionTable } from "./ions.ts";

export const saltNames = [
  "magnesium-sulfate-heptahydrate",
  "magnesium-chloride-hexahydrate",
  "calcium-chloride",
  "calcium-chloride-dihydrate",
  "calcium-sulfate-dihydrate",
  "sodium-bicarbonate",
  "potassium-bicarbonate",
  "sodium-chloride",
  "potassium-chloride",
  "potassium-citrate-monohydrate",
] as const;

export type SaltName = (typeof saltNames)[number];

export interface Salt {
  formula: string;
  /** Ions of one formula unit. */
  ions: Readonly<Partial<Record<IonName, number>>>;
  /** Crystal water per formula unit. */
  water: number;
  /** Null for table salt, a food in its own right. */
  eNumber: string | null;
  /** g of the anhydrous salt in 100 g of water at 25 °C. */
  solubility: number;
  /** Assay window of food-grade lots, percent; above 100 where the crystal may have lost water. */
  assayPercent: readonly [number, number];
  /** Draws water from the air: keep closed, and trust an assay more than the label. */
  hygroscopic: boolean;
}

/**
 * The salts, by name with their hydrate.
 * Sources: E numbers, Regulation (EC) No 1333/2008 and Commission Regulation (EU) No 231/2012;
 * solubilities, CRC Handbook of Chemistry and Physics, physical constants of inorganic compounds
 * (potassium citrate from memory of handbook tables); assay windows, Food Chemicals Codex.
 */
export const saltTable: Readonly<Record<SaltName, Salt>> = {
  "magnesium-sulfate-heptahydrate": {
    formula: "MgSO4·7H2O",
    ions: { magnesium: 1, sulfate: 1 },
    water: 7,
    eNumber: "E518",
    solubility: 35.7,
    assayPercent: [99.5, 100.5],
    hygroscopic: false,
  },
  "magnesium-chloride-hexahydrate": {
    formula: "MgCl2·6H2O",
    ions: { magnesium: 1, chloride: 2 },
    water: 6,
    eNumber: "E511",
    solubility: 56.0,
    assayPercent: [99, 105],
    hygroscopic: true,
  },
  "calcium-chloride": {
    formula: "CaCl2",
    ions: { calcium: 1, chloride: 2 },
    water: 0,
    eNumber: "E509",
    solubility: 81.3,
    assayPercent: [93, 100.5],
    hygroscopic: true,
  },
  "calcium-chloride-dihydrate": {
    formula: "CaCl2·2H2O",
    ions: { calcium: 1, chloride: 2 },
    water: 2,
    eNumber: "E509",
    solubility: 81.3,
    assayPercent: [99, 107],
    hygroscopic: true,
  },
  "calcium-sulfate-dihydrate": {
    formula: "CaSO4·2H2O",
    ions: { calcium: 1, sulfate: 1 },
    water: 2,
    eNumber: "E516",
    solubility: 0.205,
    assayPercent: [98, 100.5],
    hygroscopic: false,
  },
  "sodium-bicarbonate": {
    formula: "NaHCO3",
    ions: { sodium: 1, bicarbonate: 1 },
    water: 0,
    eNumber: "E500(ii)",
    solubility: 10.3,
    assayPercent: [99, 100.5],
    hygroscopic: false,
  },
  "potassium-bicarbonate": {
    formula: "KHCO3",
    ions: { potassium: 1, bicarbonate: 1 },
    water: 0,
    eNumber: "E501(ii)",
    solubility: 36.2,
    assayPercent: [99, 101],
    hygroscopic: false,
  },
  "sodium-chloride": {
    formula: "NaCl",
    ions: { sodium: 1, chloride: 1 },
    water: 0,
    eNumber: null,
    solubility: 36.0,
    assayPercent: [97, 100.5],
    hygroscopic: false,
  },
  "potassium-chloride": {
    formula: "KCl",
    ions: { potassium: 1, chloride: 1 },
    water: 0,
    eNumber: "E508",
    solubility: 35.5,
    assayPercent: [99, 100.5],
    hygroscopic: false,
  },
  "potassium-citrate-monohydrate": {
    formula: "K3C6H5O7·H2O",
    ions: { potassium: 3, citrate: 1 },
    water: 1,
    eNumber: "E332(ii)",
    solubility: 145,
    assayPercent: [99, 100.5],
    hygroscopic: true,
  },
};

/** The name as it is said: words apart. */
export function saltLabel(name: SaltName): string {
  return name.replaceAll("-", " ");
}

/** Formula mass of the salt in g/mol, crystal water included. */
export function saltMass(name: SaltName): number {
  return anhydrousMass(name) + saltTable[name].water * waterMass;
}

/** Formula mass in g/mol without the crystal water. */
export function anhydrousMass(name: SaltName): number {
  return saltIons(name).reduce((sum, [ion, count]) => sum + count * ionTable[ion].mass, 0);
}

/** Milligrams of each ion in one milligram of the pure salt. */
export function ionFractions(name: SaltName): IonAmounts {
  return fractions[name];
}

/** The cation, by which a salt is chosen and whose passage through the bed counts for it. */
export function cationOf(name: SaltName): IonName {
  const cation = saltIons(name).find(([ion]) => ionTable[ion].charge > 0);
  if (!cation) throw new Error(`${name} has no cation`);
  return cation[0];
}

/** Grams per litre of the salt, crystal water included, that a saturated solution holds. */
export function solubilityGramsPerLitre(name: SaltName): number {
  // Per 100 g of water, taken as 100 mL: strong solutions hold less per litre, and the rule that
  // uses this stays under half.
  return (saltTable[name].solubility * 10 * saltMass(name)) / anhydrousMass(name);
}

function saltIons(name: SaltName): [IonName, number][] {
  const { ions } = saltTable[name];
  return ionNames.flatMap((ion): [IonName, number][] => {
    const count = ions[ion];
    return count === undefined ? [] : [[ion, count]];
  });
}

// Every weighing asks for these, a simulation hundreds of thousands of times.
const fractions: Readonly<Record<SaltName, IonAmounts>> = {
  "magnesium-sulfate-heptahydrate": fractionsOf("magnesium-sulfate-heptahydrate"),
  "magnesium-chloride-hexahydrate": fractionsOf("magnesium-chloride-hexahydrate"),
  "calcium-chloride": fractionsOf("calcium-chloride"),
  "calcium-chloride-dihydrate": fractionsOf("calcium-chloride-dihydrate"),
  "calcium-sulfate-dihydrate": fractionsOf("calcium-sulfate-dihydrate"),
  "sodium-bicarbonate": fractionsOf("sodium-bicarbonate"),
  "potassium-bicarbonate": fractionsOf("potassium-bicarbonate"),
  "sodium-chloride": fractionsOf("sodium-chloride"),
  "potassium-chloride": fractionsOf("potassium-chloride"),
  "potassium-citrate-monohydrate": fractionsOf("potassium-citrate-monohydrate"),
};

function fractionsOf(name: SaltName): IonAmounts {
  const mass = saltMass(name);
  return Object.fromEntries(
    saltIons(name).map(([ion, count]) => [ion, (count * ionTable[ion].mass) / mass]),
  );
}
