import { mean } from "simple-statistics";
import { type ExtractionZone, type StrengthZone, zone } from "./control-chart.ts";
import { undilutedStrength } from "./dilution.ts";
import {
  type Contribution,
  propagate,
  rectangularUncertainty,
  repeatUncertainty,
  weighingUncertainty,
} from "./uncertainty.ts";

export type BrewKind = "percolation" | "immersion";

/** One brew as logged. The beverage is weighed before any dose, the reading taken after it. */
export interface BrewReading {
  kind: BrewKind;
  doseGrams: number;
  beverageGrams: number;
  /** Refractometer readings of one sample, percent; at least one. */
  readingsPercent: readonly number[];
  /** Needed for immersion, where all the water carries coffee. */
  brewWaterGrams?: number | undefined;
  /** Dose or sham dose added before the reading; the chart's mass balance takes 1 mL as 1 g. */
  addedMillilitres?: number | undefined;
  /** Minerals in the liquid that was read. */
  mineralMilligramsPerLitre?: number | undefined;
  /** How strongly the instrument reads those minerals; 1 counts their mass. */
  mineralReadingFactor?: number | undefined;
  /** Standard uncertainties; 0 is exact, a missing one is as in {@link usualBrewUncertainties}. */
  uncertainties?: BrewUncertainties | undefined;
}

export interface BrewUncertainties {
  doseGrams?: number | undefined;
  beverageGrams?: number | undefined;
  tdsPercent?: number | undefined;
}

export interface Extraction {
  ok: true;
  tdsPercent: number;
  coffeeTdsPercent: number;
  extractionPercent: number;
  /** Standard uncertainty of the yield, in percentage points. */
  standardUncertainty: number;
  brewRatio: number | null;
  zone: { extraction: ExtractionZone; strength: StrengthZone };
  contributions: Contribution[];
}

export type ExtractionRefusal =
  | "brew-water-missing"
  | "beverage-exceeds-balance"
  | "minerals-exceed-reading"
  | "extraction-exceeds-dose";

/**
 * Standard uncertainties taken when none are stated: dose on a 0.01 g scale, beverage on a 0.1 g
 * scale (both by difference), a refractometer of ± 0.03 % TDS (rectangular), the accuracy that
 * coffee refractometers commonly claim.
 */
export const usualBrewUncertainties = {
  doseGrams: weighingUncertainty(0.01),
  beverageGrams: weighingUncertainty(0.1),
  tdsPercent: rectangularUncertainty(0.03),
} as const;

/**
 * Extraction yield with its standard uncertainty.
 *
 * Coffee TDS = (mean reading − factor × mineral mg/L ÷ 10⁴) × (B + v)/B. Percolation: coffee TDS ×
 * beverage ÷ dose; immersion, all liquid at beverage strength: coffee TDS ÷ (100 − coffee TDS) ×
 * brew water ÷ dose × 100. Percent of the dose as weighed (moisture included).
 * Source: solute mass balance; Lockhart 1957 for percolation; Liang, Chan, Ristenpart, Sci Rep
 * 2021;11:6904 for immersion. The scatter of repeated readings (s/√n) joins the instrument's own
 * uncertainty in quadrature.
 */
export function extraction(
  brew: BrewReading,
): Extraction | { ok: false; refusal: ExtractionRefusal } {
  const refusal = refuse(brew);
  if (refusal) return { ok: false, refusal };
  const tdsPercent = mean([...brew.readingsPercent]);
  const coffeeTdsPercent = coffeeStrength(brew, tdsPercent, brew.beverageGrams);
  const result = propagate(
    (doseGrams, beverageGrams, reading) => yieldPercent(brew, doseGrams, beverageGrams, reading),
    measured(brew, tdsPercent),
  );
  return {
    ok: true,
    tdsPercent,
    coffeeTdsPercent,
    extractionPercent: result.value,
    standardUncertainty: result.standardUncertainty,
    brewRatio: brew.brewWaterGrams === undefined ? null : brew.brewWaterGrams / brew.doseGrams,
    zone: zone(result.value, coffeeTdsPercent),
    contributions: result.contributions,
  };
}

function refuse(brew: BrewReading): ExtractionRefusal | null {
  const { kind, brewWaterGrams, doseGrams, beverageGrams } = brew;
  if (kind === "immersion" && brewWaterGrams === undefined) return "brew-water-missing";
  if (brewWaterGrams !== undefined && beverageGrams > brewWaterGrams + doseGrams) {
    return "beverage-exceeds-balance";
  }
  const reading = mean([...brew.readingsPercent]);
  if (coffeeStrength(brew, reading, beverageGrams) < 0) return "minerals-exceed-reading";
  const everything = yieldPercent(brew, doseGrams, beverageGrams, reading);
  return everything > 100 ? "extraction-exceeds-dose" : null;
}

function yieldPercent(
  brew: BrewReading,
  doseGrams: number,
  beverageGrams: number,
  reading: number,
): number {
  const strength = coffeeStrength(brew, reading, beverageGrams);
  if (brew.kind === "percolation") return (strength * beverageGrams) / doseGrams;
  return ((strength / (100 - strength)) * (brew.brewWaterGrams ?? Number.NaN) * 100) / doseGrams;
}

function coffeeStrength(brew: BrewReading, reading: number, beverageGrams: number): number {
  const factor = brew.mineralReadingFactor ?? 1;
  const mineralPercent = (factor * (brew.mineralMilligramsPerLitre ?? 0)) / 1e4;
  return undilutedStrength(reading - mineralPercent, beverageGrams, brew.addedMillilitres ?? 0);
}

function measured(brew: BrewReading, tdsPercent: number) {
  const usual = usualBrewUncertainties;
  const known = brew.uncertainties ?? usual;
  const scatter = repeatUncertainty(brew.readingsPercent);
  return [
    {
      name: "doseGrams",
      value: brew.doseGrams,
      standardUncertainty: known.doseGrams ?? usual.doseGrams,
    },
    {
      name: "beverageGrams",
      value: brew.beverageGrams,
      standardUncertainty: known.beverageGrams ?? usual.beverageGrams,
    },
    {
      name: "tdsPercent",
      value: tdsPercent,
      standardUncertainty: Math.hypot(known.tdsPercent ?? usual.tdsPercent, scatter),
    },
  ];
}
