import type { BrewFinding } from "./brew-yields.ts";
import type { BrewerFinding, ConductFinding, ControlFinding, PositionFinding } from "./checks.ts";
import type { EndpointFinding } from "./endpoint-finding.ts";
import type { Counts, EndpointState } from "./finding-parts.ts";
import type { PanelQuality } from "./panel-quality.ts";
import type { ServingFinding } from "./serving-times.ts";

/** What the report says on top. */
export type Headline =
  | "different"
  | "different-for-some"
  | "close-enough"
  | "not-settled"
  | "not-sound";

/** What to do about it. */
export type Advice = "roll-out" | "limit" | "repeat" | "stop";

export type SoundnessFault = "blind-broke" | "brewers-not-swapped" | "controls-differ";

/** Whether the analysis changes when what was left out is put back. */
export interface LeftOutFinding {
  ballots: { reason: string; count: number }[];
  rejectedPairs: { coffeeId: string; pair: number; reason: string }[];
  /** The same analysis with all of it included; null when nothing was left out. */
  repeated: {
    headline: Headline;
    endpoints: {
      endpointId: string;
      answers: number;
      pValue: number | null;
      state: EndpointState;
    }[];
  } | null;
}

/** How mixed-up sets are read: under the sealed key, with their two codes exchanged, or not at all. */
export type MixUpReading = "as-scored" | "corrected" | "voided";

/** The whole analysis under each reading of the mixed-up sets. */
export interface MixUpFinding {
  /** Mixed-up sets with an answer. */
  sets: number;
  /** The reading whose verdict on the main question is the weakest: the report's headline. */
  leads: MixUpReading;
  readings: {
    reading: MixUpReading;
    headline: Headline;
    endpoints: {
      endpointId: string;
      counts: Counts;
      pValue: number | null;
      strictBinomialPValue: number | null;
      state: EndpointState;
    }[];
  }[];
}

/**
 * What the analysis of one session found: plain data without NaN, Infinity or undefined, null
 * where there is no finite value. Every signed number is B less A: above 0 the treatment B has more
 * of it, is picked more, yields more.
 */
export interface Findings {
  alpha: number;
  headline: Headline;
  advice: Advice;
  /** Id of the primary endpoint, which the headline comes from. */
  primaryId: string;
  faults: SoundnessFault[];
  endpoints: EndpointFinding[];
  controls: ControlFinding[];
  brewers: BrewerFinding;
  positions: PositionFinding[];
  panel: PanelQuality;
  brews: BrewFinding[];
  conduct: ConductFinding;
  /** Null where the plan sets no serving window. */
  serving: ServingFinding | null;
  leftOut: LeftOutFinding;
  /** Null when no mixed-up set was answered. */
  mixUps: MixUpFinding | null;
}
