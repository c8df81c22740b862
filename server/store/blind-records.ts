import type { SetKind } from "../../src/experiment/endpoint.ts";
import type { SessionState } from "../../src/experiment/session.ts";

/* What a taster's pages know. No record here has room for a treatment, a coffee, a pot or a control. */

/** A session as someone who has its join code may know it. */
export interface JoinableSession {
  id: string;
  state: SessionState;
  joinCode: string;
  /** A seat is left. */
  hasRoom: boolean;
}

/** What anyone must know before agreeing to taste. */
export interface SittingFacts {
  sets: number;
  cups: number;
  millilitresPerCup: number;
  servingTemperatureCelsius: number;
  /** Every substance that any cup may hold, never which. */
  substances: string[];
  /** Allergens that any cup may hold. */
  allergens: string[];
  /** What the lead adds to the consent text, by language. */
  consentNotes: Readonly<Record<string, string>>;
}

/** A taster's place, found by the token on the phone. */
export interface Seat {
  id: string;
  number: number;
  sessionId: string;
  state: SessionState;
  /** The session is paused: pages work, answers wait. */
  paused: boolean;
  joinCode: string;
  language: string;
  /** The taster has consented and has not left. */
  active: boolean;
}

/** Since when a seat's answers can have been given, in UTC. */
export interface SittingTimes {
  /** Null before the session is opened. */
  openedAt: string | null;
  /** Null where the desk types in for a seat that nobody took by phone. */
  joinedAt: string | null;
}

/** A question as it is asked: without margin, expectation or weight. */
export type Question =
  | { id: string; kind: "overall-difference"; method: "triangle" | "duo-trio" | "tetrad" }
  | { id: string; kind: "preference" }
  | { id: string; kind: "attribute-difference" | "direction"; attribute: string }
  | {
      id: string;
      kind: "attribute-score";
      attribute: string;
      lowAnchor: string;
      highAnchor: string;
    };

/** What is asked of each kind of set. */
export interface Questionnaire {
  questions: Record<SetKind, Question[]>;
  cannotTellAllowed: boolean;
  /** Told to tasters as it is; null where the plan leaves it open. */
  palateRestSeconds: number | null;
  windowMinutes: number | null;
}

/** One presentation as it stands on the tray: codes in serving order. */
export interface Serving {
  id: string;
  ordinal: number;
  setKind: SetKind;
  codes: string[];
  answered: boolean;
  voided: boolean;
  /** Cups poured anew: the code that was served first and the one that holds now. */
  replaced: { code: string; by: string }[];
}

/** A seat that another phone may take over with a code. */
export interface SeatOffer {
  seatId: string;
  number: number;
  sessionId: string;
  language: string;
}
