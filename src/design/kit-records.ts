import type { Arm, SetKind, SetRequest, Treatment } from "./serving-orders.ts";

export type { SetRequest, Treatment } from "./serving-orders.ts";

/** What a kit is made for: the part of a plan that decides who is served what. */
export interface KitInput {
  /** Each kind at most once; the first belongs to the primary endpoint and gets the same-pot controls. */
  sets: readonly SetRequest[];
  /** Ids, each once. */
  coffees: readonly string[];
  /** Brew pairs of the two treatments per coffee. */
  pairsPerCoffee: number;
  /** Times that a taster meets the same pair in the same kind of set. */
  replicates: number;
  controls: {
    /** Presentations per taster over the session whose cups all come from one pot. */
    samePot: number;
    /** Extra brew pairs per coffee whose two pots hold one treatment. */
    sameTreatmentPairsPerCoffee: number;
  };
  /** Planned tasters and spare seats together: any first seats are balanced. */
  seats: number;
  /** Ids, each once; with two or more, the two pots of a pair go to different brewers. */
  brewers: readonly string[];
  /** `balanced`: every taster has an own order of coffees; `rounds`: all have the same pair at the same time. */
  coffeeOrder: "balanced" | "rounds";
  /** Codes held ready per pot, for spilled cups and late tasters. */
  sparesPerPot: number;
  /** Most cups, spares included, that may be poured in one round; codes alone limit it otherwise. */
  cupsPerRound?: number;
  /** What to do with a round over capacity: refuse the kit (so unless said otherwise) or pour it for some seats after others. */
  roundsOverCapacity?: "refuse" | "split";
}

/** One pot, known to pourers and brew log by its letter. */
export interface Pot {
  coffeeId: string;
  /** From 1 within the coffee, controls among them. */
  pair: number;
  /** Unique within the coffee; never A, B, I, O or Q. */
  letter: string;
  treatment: Treatment;
  brewerId: string;
  /** From 1 over the session. */
  brewOrder: number;
  /** Unique over the session; says nothing. */
  waterLabel: string;
  /** True for the pots of a pair that holds one treatment twice. */
  controlPair?: true;
}

export interface Cup {
  /** From 1 in tasting order. */
  position: number;
  code: string;
  potLetter: string;
  treatment: Treatment;
  /** True for the named reference of a duo-trio. */
  reference?: true;
}

/** The cups served together for one answer. */
export interface Presentation {
  /** From 1 in the taster's serving order. */
  ordinal: number;
  setKind: SetKind;
  coffeeId: string;
  pair: number;
  /** From 1; same-pot controls are counted by themselves. */
  replicate: number;
  control?: "same-pot" | "same-treatment";
  /** The treatments of the cups in tasting order, such as `ABB`. */
  order: string;
  /** The order as drawn, in arms; controls have one too, and are scored by it. */
  arms: readonly Arm[];
  /** Place of the cup that differs (in a control: that counts as differing). */
  oddPosition?: number;
  /** In a tetrad, place of the cup that goes (in a control: that counts as going) with the first one. */
  fellowPosition?: number;
  cups: Cup[];
}

export interface Seat {
  /** From 1. */
  seat: number;
  presentations: Presentation[];
}

export interface SpareCode {
  coffeeId: string;
  pair: number;
  potLetter: string;
  code: string;
}

/** The cups of one pair that are poured together. In rounds the list is in pouring order. */
export interface PouringRound {
  coffeeId: string;
  pair: number;
  /** From 1; more than one only where a round over capacity was split. */
  part: number;
  /** The seats poured for, first and last. */
  firstSeat: number;
  lastSeat: number;
  /** Most cups, own spares included. */
  capacity: number;
  used: number;
}

/** Everything that sealing draws. All but codes, positions and ordinals is as secret as the key. */
export interface Kit {
  pots: Pot[];
  seats: Seat[];
  spares: SpareCode[];
  rounds: PouringRound[];
}

export type KitRefusal =
  | "bad-count"
  | "repeated-name"
  | "too-many-pots"
  | "too-many-coffees"
  | "too-many-seats"
  | "round-over-capacity"
  | "codes-exhausted";

export type KitResult =
  | { ok: true; kit: Kit }
  | { ok: false; refusal: KitRefusal; message: string };
