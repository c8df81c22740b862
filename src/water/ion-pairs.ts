import type { Amounts } from "./activity.ts";
import type { PairConstants } from "./pair-constants.ts";

/** A water at one pH: free ions, and the totals that the carbonate balance needs (mol/kg). */
export interface Paired {
  free: Amounts;
  carbonDioxide: number;
  /** Carbonate, free and in pairs. */
  totalCarbonate: number;
}

/** Activity of H⁺, and concentrations of H⁺ and OH⁻ that belong to it. */
export interface Acidity {
  activity: number;
  hydrogen: number;
  hydroxide: number;
}

/** Free ions that pair. */
interface Free {
  calcium: number;
  magnesium: number;
  sodium: number;
  potassium: number;
  sulfate: number;
  bicarbonate: number;
}

/**
 * Mass action at a given pH, for given total amounts: substitutes one ion after the other until
 * nothing moves. `totals.bicarbonate` is the alkalinity.
 */
export function pairAt(totals: Amounts, k: PairConstants, acidity: Acidity): Paired {
  const carbonatePer = k.secondDissociation / acidity.activity;
  const alkalinity = Math.max(totals.bicarbonate - acidity.hydroxide + acidity.hydrogen, 0);
  const whole = { ...totals, bicarbonate: alkalinity };
  let free: Free = totals;
  for (let round = 0; round < 200; round++) {
    const next = substitute(whole, free, k, carbonatePer);
    const moved = Math.abs(next.sulfate + next.bicarbonate - free.sulfate - free.bicarbonate);
    const settled = moved <= 1e-13 * (free.sulfate + free.bicarbonate);
    free = next;
    if (settled) break;
  }
  const carbonate = free.bicarbonate * carbonatePer;
  return {
    free: withPairs({ ...totals, ...free, carbonate }, acidity, k),
    carbonDioxide: free.bicarbonate * k.carbonDioxide * acidity.activity,
    totalCarbonate: carbonate * (1 + carbonatePairs(free, k)),
  };
}

/** One round: each ion's free share from what is free of its partners, cations first. */
function substitute(totals: Free, free: Free, k: PairConstants, carbonatePer: number): Free {
  const { sulfate, bicarbonate } = free;
  const carbonate = bicarbonate * carbonatePer;
  const calciumPairs =
    k.calciumBicarbonate * bicarbonate +
    k.calciumCarbonate * carbonate +
    k.calciumSulfate * sulfate;
  const magnesiumPairs =
    k.magnesiumBicarbonate * bicarbonate +
    k.magnesiumCarbonate * carbonate +
    k.magnesiumSulfate * sulfate;
  const calcium = totals.calcium / (1 + calciumPairs);
  const magnesium = totals.magnesium / (1 + magnesiumPairs);
  const sodium = totals.sodium / (1 + k.sodiumSulfate * sulfate);
  const potassium = totals.potassium / (1 + k.potassiumSulfate * sulfate);
  const cations = { calcium, magnesium, sodium, potassium };
  return { ...cations, ...anions(totals, cations, k, carbonatePer) };
}

function anions(
  totals: Free,
  cations: Omit<Free, "sulfate" | "bicarbonate">,
  k: PairConstants,
  carbonatePer: number,
) {
  const { calcium, magnesium, sodium, potassium } = cations;
  const sulfatePairs =
    k.calciumSulfate * calcium +
    k.magnesiumSulfate * magnesium +
    k.sodiumSulfate * sodium +
    k.potassiumSulfate * potassium;
  const bicarbonatePairs = k.calciumBicarbonate * calcium + k.magnesiumBicarbonate * magnesium;
  // Carbonate counts twice in the alkalinity, free or paired.
  const carbonates = 2 * carbonatePer * (1 + carbonatePairs(cations, k));
  return {
    sulfate: totals.sulfate / (1 + sulfatePairs),
    bicarbonate: totals.bicarbonate / (1 + bicarbonatePairs + carbonates),
  };
}

function carbonatePairs(free: { calcium: number; magnesium: number }, k: PairConstants): number {
  return k.calciumCarbonate * free.calcium + k.magnesiumCarbonate * free.magnesium;
}

function withPairs(free: Amounts, { hydrogen, hydroxide }: Acidity, k: PairConstants): Amounts {
  const { calcium, magnesium, sodium, potassium, sulfate, bicarbonate } = free;
  return {
    ...free,
    hydrogen,
    hydroxide,
    calciumBicarbonate: k.calciumBicarbonate * calcium * bicarbonate,
    magnesiumBicarbonate: k.magnesiumBicarbonate * magnesium * bicarbonate,
    sodiumSulfate: k.sodiumSulfate * sodium * sulfate,
    potassiumSulfate: k.potassiumSulfate * potassium * sulfate,
  };
}
