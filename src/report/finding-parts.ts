import type { Treatment } from "../experiment/endpoint.ts";

/** What an endpoint's data amount to. */
export type EndpointState = "difference" | "trivial-difference" | "equivalence" | "inconclusive";

/**
 * What an estimate counts: share of people who truly tell the cups apart; lean towards B from −1 to
 * 1 (2 × share picking B − 1); share of people who truly find more in B of three cups, below 0 in A;
 * points of the scale; percentage points of extraction yield.
 */
export type Unit = "distinguishers" | "lean" | "lean-of-three" | "scale-points" | "yield-points";

/** An estimate with its interval at `confidence` (0..1); raw, so pd can be below 0. */
export interface Estimate {
  value: number;
  lower: number | null;
  upper: number | null;
  confidence: number;
}

export interface Counts {
  /** Tasters whose answers count; 0 for extraction yield. */
  tasters: number;
  /** Answers that count (can't-tell answers are not among them); brew pairs for extraction yield. */
  answers: number;
  /** Triangles answered rightly; null for other kinds. */
  correct: number | null;
  /** Times A and B were picked; null unless one of two cups is picked. */
  pickedA: number | null;
  pickedB: number | null;
}

/** Is there a difference? p is null when nothing was answered. */
export interface DifferenceTest {
  method: "exact-binomial" | "sign-flip-over-tasters" | "sign-flip-over-brew-pairs";
  sides: "one" | "two";
  /** The treatment that a one-sided test expects more of; null when two-sided or a triangle. */
  expected: Treatment | null;
  pValue: number | null;
  /** Holm-adjusted over the secondary endpoints, or over coffees; otherwise the same as pValue. */
  adjustedPValue: number | null;
  /** What the adjusted p is held against. */
  level: number;
  /** Fewest correct (triangle) or fewest agreeing picks (pair) that would show it; null for scores. */
  criticalCount: number | null;
  shown: boolean;
}

/** Is it within the margin? Over several coffees the weakest coffee decides. */
export interface MarginTest {
  method: "clopper-pearson" | "taster-means" | "two-one-sided-t";
  /** Tasters repeat within a coffee, so the limit rests on the spread of their means. */
  approximate: boolean;
  margin: number;
  pValue: number | null;
  adjustedPValue: number | null;
  level: number;
  /** One-sided limits at 1 − alpha, of the weakest coffee; a triangle has no lower one. */
  lowerLimit: number | null;
  upperLimit: number | null;
  within: boolean;
}
