/** What a plan can and cannot detect, before anyone brews. Plain data; null where it doesn't apply. */
export interface PlanOutlook {
  alpha: number;
  /** What counts as a good chance: 0.8. */
  power: number;
  cupsPerTaster: number;
  cupsPerSession: number;
  presentationsPerTaster: number;
  millilitresPerTaster: number;
  brewPairs: number;
  pots: number;
  endpoints: EndpointOutlook[];
}

export interface EndpointOutlook {
  endpointId: string;
  /** Answers over all coffees and on one of them; brew pairs for extraction yield. */
  answers: number;
  answersPerCoffee: number;
  /**
   * Tasters answer more than once, within a coffee or over coffees. Right and wrong answers take it
   * that always the same people notice; pairs that tasters are alike, so true chances are lower.
   */
  tastersRepeat: boolean;
  difference: DifferenceOutlook;
  similarity: SimilarityOutlook;
  process: ProcessOutlook;
  falseAlarms: FalseAlarmOutlook;
}

export interface DifferenceOutlook {
  sides: "one" | "two";
  level: number;
  /** Fewest right or agreeing answers that show a difference; null for scores and yields, or if none can. */
  criticalCount: number | null;
  /** Chance of finding each true effect: share who can tell, or points. */
  chances: { effect: number; chance: number }[];
  chanceAtMargin: number;
  /** Smallest effect found with the usual power; null when even the largest isn't. */
  smallestEffect: number | null;
  /** Standard deviation of differences taken for scores and yields; null for counts. */
  assumedSd: number | null;
}

export interface SimilarityOutlook {
  /** Most right (or most picks of one cup) that pass on one coffee; null when no outcome does. */
  maximumCount: number | null;
  /** Fewest picks of one cup that pass, for pairs. */
  minimumCount: number | null;
  /** How often truly identical coffees pass: on one coffee, and on every coffee, as the claim needs. */
  passOne: number;
  passAll: number;
  /** Tasters repeat within a coffee: the real test is stricter than these counts. */
  approximate: boolean;
}

export interface ProcessOutlook {
  pairs: number;
  /** Hidden pairs of one treatment over all coffees, which a claim from right and wrong answers is held against. */
  controlPairs: number;
  needsControlPairs: boolean;
  smallestPossiblePValue: number | null;
  claimable: boolean;
  /** Pairs needed for any claim at all; null when control pairs are missing. */
  pairsForAnyClaim: number | null;
  /** How many pairs must lean the same way, if all lean equally far; null when none would do. */
  pairsThatMustAgree: number | null;
}

export interface FalseAlarmOutlook {
  /** The most that chance alone calls a difference when cups are identical. */
  whenIdentical: number;
  /**
   * How often the cups claim says "different" when the treatment does nothing but pots vary by
   * themselves (standard deviation `potSdLogit` between pairs); null when not computed.
   */
  whenPotsVary: { potSdLogit: number; rate: number } | null;
}

/** Spreads to plan with until a roastery has its own; ours, from no source. */
export interface PlanningSpreads {
  /** Of one taster's score difference, in points. */
  scorePoints: number;
  /** Of a brew pair's yield difference, in percentage points. */
  yieldPoints: number;
  /** Between brew pairs without any effect, on the logit scale. */
  potSdLogit: number;
}

export const USUAL_SPREADS: PlanningSpreads = {
  scorePoints: 15,
  yieldPoints: 0.4,
  potSdLogit: 0.6,
};
