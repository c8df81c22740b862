/** What a panel is to find out, with the size of effect that matters. */
export type PanelQuestion =
  | { kind: "apart" | "same"; noticing: number }
  | { kind: "more"; pickRate: number; sides: "one" | "two" }
  | { kind: "liked"; pickRate: number }
  | { kind: "scores" | "yield"; points: number; sd: number };

/** A panel to be planned: the question, the risks, and what a roastery has. */
export interface PanelDesign {
  question: PanelQuestion;
  /** Risk of a false claim. */
  alpha: number;
  /** Chance wanted of the claim when it is true. */
  power: number;
  tasters: number;
  coffees: number;
  brewPairsPerCoffee: number;
  replicates: number;
  /** Hidden pairs of one treatment on each coffee. */
  controlPairsPerCoffee: number;
}

/** Who tastes how often, and against which risk: all that a test's chances depend on. */
export type PanelShape = Pick<
  PanelDesign,
  "alpha" | "tasters" | "coffees" | "brewPairsPerCoffee" | "replicates"
>;

/** How many reach a chance. */
export interface PanelNeeds {
  smallest: number;
  /** From here on the chance never falls below again; null when that is beyond the search. */
  stable: number | null;
}

/** One claim, by how many take part: tasters, or brew pairs where these are the unit. */
export interface PanelClaim {
  /** Answers that are counted together; null where means are compared. */
  answers: (units: number) => number | null;
  /** Fewest right (or picks alike) that show a difference; most right that show closeness. */
  decidingCount: (units: number) => number | null;
  /** Chance of the claim when the truth is that large: a share who can tell, or points. */
  chance: (units: number, truth: number) => number;
  /** Null when no number that is searched reaches the power. */
  needed: (power: number) => PanelNeeds | null;
}

/** A question's test as planning sees it. */
export interface PanelTest {
  unit: "taster" | "brew-pair";
  /** How many of the unit there are. */
  have: number;
  /** The size that matters: a share who can tell, or points. */
  matters: number;
  /** Coffees on each of which closeness has to hold; 1 where one test covers all. */
  coffeesHeldApart: number;
  difference: PanelClaim;
  closenessAt: (margin: number, coffees: number) => PanelClaim;
  /** The smallest effect or margin that is enough, on the scale of the question. */
  smallest: (isEnough: (effect: number) => boolean) => number | null;
  /** True sizes for a curve, from none upwards. */
  truths: number[];
}
