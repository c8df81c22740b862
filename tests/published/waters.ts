import { z } from "zod";
import { type IonName, type Ions, ionNames, ionTable } from "../../src/water/ions.ts";

export const ionOf = (value: unknown) => z.enum(ionNames).parse(value);

/** Waters that others analysed, mg/L. */
const analyses: Readonly<Record<string, Ions>> = {
  // Standard Methods 2510 B, worked example.
  example: {
    calcium: 55,
    magnesium: 12,
    sodium: 28,
    potassium: 3.2,
    bicarbonate: 170,
    sulfate: 77,
    chloride: 20,
  },
  // USGS WRI 02-4045, sample 1.
  laboratory: {
    calcium: 25,
    magnesium: 14,
    sodium: 190,
    potassium: 13,
    bicarbonate: 707,
    chloride: 7,
    sulfate: 1.2,
  },
  // Stuyfzand 1987, Table 3.1.
  "4": {
    chloride: 17.7,
    bicarbonate: 55,
    sulfate: 38.4,
    sodium: 16.1,
    potassium: 3.9,
    calcium: 20,
    magnesium: 4.9,
  },
  "11": {
    chloride: 39,
    bicarbonate: 101,
    sulfate: 116,
    sodium: 23,
    potassium: 2.8,
    calcium: 58,
    magnesium: 13,
  },
  "2": {
    chloride: 32,
    bicarbonate: 171,
    sodium: 23,
    potassium: 10.9,
    calcium: 14,
    magnesium: 21,
  },
};

export function analysedWater(name: unknown): Ions {
  const water = analyses[String(name)];
  if (!water) throw new Error(`No analysed water named ${name}`);
  return water;
}

/** Ions of one equivalent of each electrolyte. */
const electrolytes: Readonly<Record<string, Partial<Record<IonName, number>>>> = {
  KCl: { potassium: 1, chloride: 1 },
  NaCl: { sodium: 1, chloride: 1 },
  CaCl2: { calcium: 0.5, chloride: 1 },
  MgCl2: { magnesium: 0.5, chloride: 1 },
  KHCO3: { potassium: 1, bicarbonate: 1 },
  Na2SO4: { sodium: 1, sulfate: 0.5 },
};

/** A solution of one electrolyte at so many equivalents per litre, mg/L. */
export function solution(electrolyte: unknown, equivalents: number): Ions {
  const ions = electrolytes[String(electrolyte)];
  if (!ions) throw new Error(`No electrolyte named ${electrolyte}`);
  return Object.fromEntries(
    Object.entries(ions).map(([ion, count]) => [
      ion,
      1000 * count * equivalents * ionTable[ionOf(ion)].mass,
    ]),
  );
}
