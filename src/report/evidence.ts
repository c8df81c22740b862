import type { Answers } from "../experiment/ballot.ts";
import type { BrewRecord, RejectionReason } from "../experiment/brew-log.ts";
import type { SetKind, Treatment } from "../experiment/endpoint.ts";
import type { Plan } from "../experiment/plan.ts";
import type { Pouring } from "../experiment/pouring.ts";

/** Why a presentation holds no difference between the treatments: its cups share a pot or a treatment. */
export type ControlKind = "same-pot" | "same-treatment";

/** A cup as the opened key shows it. */
export interface UnblindedCup {
  /** From 1, in serving order. */
  position: number;
  code: string;
  potLetter: string;
  treatment: Treatment;
}

/** One answered presentation with its key opened. */
export interface UnblindedBallot {
  /** Random id of the seat: the taster as the analysis knows them. */
  seatId: string;
  ordinal: number;
  coffeeId: string;
  /** From 1 within the coffee; test pairs first, then control pairs. */
  pair: number;
  replicate: number;
  control: ControlKind | null;
  set: SetKind;
  /** Serving position of the odd cup, where there is one (in a same-pot control: the one so designated). */
  oddPosition: number | null;
  /** In a tetrad, serving position of the cup that goes with the first one. */
  fellowPosition?: number | null | undefined;
  cups: UnblindedCup[];
  answers: Answers;
  submittedAt: string;
  /** How long the phone showed the set; null or absent when it didn't say. */
  secondsOnScreen?: number | null;
  /** From locking the set before to the first touch of this one; null or absent when not known. */
  secondsRested?: number | null;
  /** When the taster locked it, by the server's clock; null or absent when not known. */
  answeredAt?: string | null;
  /** Set when the answer must not count, with the reason from the incident log. */
  voidReason: string | null;
  /** Ordinal of the voided set that this one was served again for. */
  repeats?: number | null;
}

/** Two codes of one tray that stood on each other's cups, found out before the key was opened. */
export interface MixUp {
  seatId: string;
  ordinal: number;
  codes: readonly [string, string];
  /** What was recorded for the set before unblinding. */
  resolution: "corrected" | "voided";
}

/** A pot with its treatment, and its brew where one was logged. */
export interface UnblindedPot {
  coffeeId: string;
  pair: number;
  letter: string;
  treatment: Treatment;
  /** Two pots of one treatment, brewed to see how much pots differ anyway. */
  controlPair: boolean;
  /** The brewer the plan gave this pot to. */
  plannedBrewer: string;
  brew: BrewRecord | null;
  rejected: RejectionReason | null;
}

/** How well the blind held, from the event log. */
export interface BlindFacts {
  /** The key was opened before closing, with its reason. */
  openedEarly: { at: string; reason: string }[];
  /** A person who ran the session or served also saw pour, brew or key sheets. */
  leadSawSheets: { at: string; sheet: string }[];
}

/** Everything the analysis of one session reads. */
export interface Evidence {
  plan: Plan;
  /** Set when the answers were collected elsewhere: nothing is known here of blinding and serving. */
  origin?: "imported";
  /** Seats that anyone took, also those who left or withdrew. */
  seatsStarted: number;
  /** Sets that those seats were to be served; one served again is no further one. */
  ballotsExpected: number;
  ballots: UnblindedBallot[];
  pots: UnblindedPot[];
  blind: BlindFacts;
  /** When cups were poured, as far as anyone recorded it. */
  pourings?: readonly Pouring[];
  /** Ballots carry the sealed key; these say where the cups stood otherwise. */
  mixUps?: readonly MixUp[];
}
