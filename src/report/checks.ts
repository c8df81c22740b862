import type { SetKind } from "../experiment/endpoint.ts";
import type { MethodName } from "../statistics/methods/method.ts";
import type { ControlKind } from "./evidence.ts";

/** Shapes of what is checked about the session itself, before anyone believes its result. */

/** Hidden pairs that should not differ, for one question. */
export interface ControlFinding {
  endpointId: string;
  /** The forced-choice method of its answers; null for scores. */
  method: MethodName | null;
  control: ControlKind;
  answers: number;
  pairs: number;
  /** Answers that the key counts as right; for pairs times the first cup was picked; null for scores. */
  count: number | null;
  /** What luck alone gives: 1/3 or 1/2; null for scores. */
  chance: number | null;
  /** Mean absolute difference between the two cups, for scores. */
  meanAbsoluteDifference: number | null;
  /** That the control pairs differ (Holm over pairs for A/B questions); null when not tested. */
  pValue: number | null;
  /** Size of the difference in control pairs, and of the test pairs measured the same way. */
  size: number | null;
  testSize: number | null;
  /** The controls differ beyond luck, and as much as the treatments. */
  differsAsMuch: boolean;
}

/** Who brewed what, over the brew pairs that compare the treatments. */
export interface BrewerFinding {
  /**
   * `one-brewer`: both pots of every pair came from one brewer; `swapped`: each brewer made both
   * treatments about equally in each coffee; `not-swapped`: brewer and treatment go together.
   */
  swapped: "one-brewer" | "swapped" | "not-swapped";
  brewers: { brewer: string; potsOfA: number; potsOfB: number }[];
  /** Is one brewer's pot picked, scored or extracted higher, whatever it holds? Null when unknown. */
  pValue: number | null;
  /** By what brewers were found to differ, when they were not swapped. */
  differBy: "control-pairs" | "yield" | "brew-time" | "treatments-confounded" | null;
}

/** How often each serving position was chosen. */
export interface PositionFinding {
  set: SetKind;
  endpointId: string;
  /** From the first position. */
  counts: number[];
  /** Exact: smallest two-sided binomial p of a position, times the positions when there are three. */
  pValue: number | null;
  biased: boolean;
  /** Tasters who always chose one position, so often that luck would do it to anyone at most at alpha. */
  alwaysSame: { seatId: string; position: number; answers: number; pValue: number }[];
}

/** What was planned against what happened. */
export interface ConductFinding {
  blinding: "double-blind" | "single-blind" | "broken" | "not-blinded-here";
  openedEarly: { at: string; reason: string; answersAfter: number }[];
  leadSawSheets: { at: string; sheet: string }[];
  tastersPlanned: number;
  /** Seats that anyone took, also those who left or withdrew. */
  seatsStarted: number;
  /** Sets that those seats were to be served, whatever the plan's number of tasters. */
  ballotsExpected: number;
  /** Answers that came, also those that don't count. */
  ballotsReceived: number;
  ballotsCounted: number;
  brewPairsPlanned: number;
  brewPairsLogged: number;
  brewPairsRejected: number;
  sameTreatmentPairsPlanned: number;
  samePotControlsPlanned: number;
}
