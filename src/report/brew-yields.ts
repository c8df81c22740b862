import { extraction } from "../brew/extraction.ts";
import { limitBreaches } from "../experiment/brew-limits.ts";
import type { BrewRecord } from "../experiment/brew-log.ts";
import type { Treatment } from "../experiment/endpoint.ts";
import type { Plan } from "../experiment/plan.ts";
import { pairKey } from "./counted.ts";
import type { UnblindedPot } from "./evidence.ts";
import { groupBy } from "./observations.ts";

/** One logged pot with its treatment, for the extraction and strength chart. */
export interface BrewFinding {
  coffeeId: string;
  pair: number;
  potLetter: string;
  treatment: Treatment;
  controlPair: boolean;
  brewer: string;
  rejected: boolean;
  /** Null when the log can't be true together, such as minerals above the reading. */
  extractionPercent: number | null;
  standardUncertainty: number | null;
  coffeeTdsPercent: number | null;
  /** What of its inputs lies outside the sealed limits. */
  outsideLimits: string[];
}

/**
 * Extraction yield of every logged pot. The minerals that the plan says are in the reading are taken
 * off, and a dose added before the sample was taken is undone.
 */
export function brewYields(pots: readonly UnblindedPot[], plan: Plan): BrewFinding[] {
  return pots.flatMap((pot) => {
    const { brew } = pot;
    if (!brew) return [];
    const result = extraction({
      kind: "percolation",
      doseGrams: brew.doseGrams,
      beverageGrams: brew.beverageGrams,
      brewWaterGrams: brew.brewWaterGrams,
      readingsPercent: brew.tdsReadingsPercent,
      addedMillilitres: brew.sampleTiming === "after-addition" ? brew.addedGrams : 0,
      mineralMilligramsPerLitre: plan.treatments[pot.treatment].mineralsInReadingMilligramsPerLitre,
    });
    return [
      {
        coffeeId: pot.coffeeId,
        pair: pot.pair,
        potLetter: pot.letter,
        treatment: pot.treatment,
        controlPair: pot.controlPair,
        brewer: brew.brewer,
        rejected: pot.rejected !== null,
        extractionPercent: result.ok ? result.extractionPercent : null,
        standardUncertainty: result.ok ? result.standardUncertainty : null,
        coffeeTdsPercent: result.ok ? result.coffeeTdsPercent : null,
        outsideLimits: limitBreaches(brew, otherBrew(pot, pots), plan).map(
          ({ finding }) => finding,
        ),
      },
    ];
  });
}

function otherBrew(pot: UnblindedPot, pots: readonly UnblindedPot[]): BrewRecord | null {
  const other = pots.find((one) => pairKey(one) === pairKey(pot) && one.letter !== pot.letter);
  return other?.brew ?? null;
}

/** One brew pair that compares the treatments: yield of B less yield of A. */
export interface YieldPair {
  coffeeId: string;
  pair: number;
  value: number;
  brewerOfA: string;
  brewerOfB: string;
}

/** The brew pairs whose two pots both have a yield. */
export function yieldPairs(brews: readonly BrewFinding[]): YieldPair[] {
  const tested = brews.filter((brew) => !brew.controlPair);
  return [...groupBy(tested, pairKey).values()].flatMap((pots) => {
    const a = pots.find((pot) => pot.treatment === "A");
    const b = pots.find((pot) => pot.treatment === "B");
    if (!a || !b || a.extractionPercent === null || b.extractionPercent === null) return [];
    const value = b.extractionPercent - a.extractionPercent;
    return [
      { coffeeId: a.coffeeId, pair: a.pair, value, brewerOfA: a.brewer, brewerOfB: b.brewer },
    ];
  });
}
