import type { Plan } from "../experiment/plan.ts";
import { USUAL_SPREADS } from "../report/planning/outlook.ts";

/**
 * What a rehearsal takes for true about people and pots. Spreads of people and pots are standard
 * deviations; our own defaults, from no source, until a roastery has its own.
 */
export interface Assumptions {
  /**
   * What the treatment does to the main question if it does what is expected, in that question's
   * unit: share who can tell, points of the scale, points of yield.
   */
  expectedEffect: number;
  /** Share of tasters who notice nothing and guess throughout. */
  guessers: number;
  /** Share of tasters who leave somewhere on the way. */
  leavers: number;
  /** Of tasters' sensitivity around 1, on a log scale: 0 when all notice alike. */
  sensitivitySd: number;
  /** Between brew pairs without any effect, on the logit scale. */
  potSdLogit: number;
  /** Of one taster's score difference between two cups alike, in points. */
  scorePoints: number;
  /** Of a brew pair's yield difference, in percentage points. */
  yieldPoints: number;
}

/** Defaults for a plan: an effect half as large again as the margin, and the usual spreads. */
export function usualAssumptions(plan: Plan): Assumptions {
  const primary = plan.endpoints.find(({ role }) => role === "primary");
  if (!primary) throw new Error("A plan has one primary endpoint");
  const larger = Math.round(150 * primary.margin) / 100;
  const isShare = primary.kind !== "attribute-score" && primary.kind !== "extraction-yield";
  return {
    ...USUAL_SPREADS,
    expectedEffect: isShare ? Math.min(LARGEST_SHARE, larger) : larger,
    guessers: 0.1,
    leavers: 0.05,
    sensitivitySd: 0.3,
  };
}

/** Beyond this a share can't be put on the logit scale in any useful way. */
export const LARGEST_SHARE = 0.95;
