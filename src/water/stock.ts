import type { WaterCaution } from "./cautions.ts";
import { type IonAmounts, type Ions, mixIons } from "./ions.ts";
import { ionsFromSalts, type SaltAmount } from "./recipe.ts";
import { type SaltName, saltLabel, saltTable, solubilityGramsPerLitre } from "./salts.ts";
import { saturation } from "./saturation.ts";

/** A bottle: salts as weighed, in grams per litre of stock. */
export interface StockSalt {
  salt: SaltName;
  gramsPerLitre: number;
  purity?: number | undefined;
}

/** A stock that keeps has every saturation index under this. */
const keepingIndex = -0.3;

/** The water a bottle is made from, and where it is kept. */
export interface Storage {
  /** mg/L */
  baseIons: Ions;
  /** °C */
  temperature: number;
}

/** What is wrong with a bottle as it is kept: solubility and precipitation. */
export function stockCautions(salts: readonly StockSalt[], storage: Storage): WaterCaution[] {
  return [...tooStrong(salts), ...precipitates(salts, storage)];
}

/** Ions of the stock, mg/L, those of the water it is made from included. */
export function stockIons(salts: readonly StockSalt[], baseIons: Ions): IonAmounts {
  return mixIons([
    { ions: baseIons, share: 1 },
    { ions: ionsFromSalts(salts.map(asAmount)), share: 1 },
  ]);
}

/**
 * Bottles that keep: all salts in one where nothing precipitates, else calcium and magnesium apart
 * from bicarbonate, citrate and sulfate.
 */
export function splitIntoBottles(salts: readonly StockSalt[], storage: Storage): StockSalt[][] {
  if (salts.length === 0) return [];
  if (precipitates(salts, storage).length === 0) return [[...salts]];
  const quiet = salts.filter(({ salt }) => !bringsPrecipitant(salt));
  const rest = salts.filter(({ salt }) => bringsPrecipitant(salt));
  return [quiet, rest].filter((bottle) => bottle.length > 0);
}

function bringsPrecipitant(salt: SaltName): boolean {
  const { bicarbonate, sulfate, citrate } = saltTable[salt].ions;
  return bicarbonate !== undefined || sulfate !== undefined || citrate !== undefined;
}

function tooStrong(salts: readonly StockSalt[]): WaterCaution[] {
  return salts.flatMap(({ salt, gramsPerLitre, purity }) => {
    const pure = gramsPerLitre * (purity ?? 1);
    const soluble = solubilityGramsPerLitre(salt);
    if (pure <= soluble / 2) return [];
    const dissolves = pure <= soluble;
    const text = dissolves
      ? `${saltLabel(salt)}: ${pure.toPrecision(3)} g/L is more than half of what dissolves ` +
        `(${soluble.toPrecision(3)} g/L at 25 °C). Take a weaker stock and a larger dose.`
      : `${saltLabel(salt)}: ${pure.toPrecision(3)} g/L won't dissolve (${soluble.toPrecision(3)} g/L at ` +
        "25 °C does). Take a weaker stock and a larger dose.";
    const source = "CRC Handbook of Chemistry and Physics, solubilities at 25 °C";
    const severity = dissolves ? ("caution" as const) : ("stop" as const);
    return [{ code: "solubility", severity, text, source }];
  });
}

function precipitates(salts: readonly StockSalt[], storage: Storage): WaterCaution[] {
  if (salts.length === 0) return [];
  const indices = saturation(stockIons(salts, storage.baseIons), storage.temperature);
  const minerals = [
    { code: "calcite", name: "calcium carbonate", index: indices.calcite },
    { code: "gypsum", name: "gypsum", index: indices.gypsum },
  ];
  return minerals.flatMap(({ code, name, index }) => {
    if (index === null || index <= keepingIndex) return [];
    const text =
      `The stock can drop ${name} (saturation index ${index.toFixed(2)}; a bottle that keeps has ` +
      `${keepingIndex} or less). Keep calcium apart from bicarbonate and sulfate in two bottles, ` +
      "or take a weaker stock.";
    const source = "phreeqc.dat, USGS Techniques and Methods 6-A43 (2013)";
    return [{ code: `precipitates-${code}`, severity: "caution" as const, text, source }];
  });
}

function asAmount({ salt, gramsPerLitre, purity }: StockSalt): SaltAmount {
  return { salt, milligramsPerLitre: 1000 * gramsPerLitre, purity };
}
