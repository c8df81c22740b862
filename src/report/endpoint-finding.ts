import type { EndpointKind, EndpointRole } from "../experiment/endpoint.ts";
import type { MethodName } from "../statistics/methods/method.ts";
import type { CoffeeFinding } from "./coffee-finding.ts";
import type {
  Counts,
  DifferenceTest,
  EndpointState,
  Estimate,
  MarginTest,
  Unit,
} from "./finding-parts.ts";
import type { ProcessClaim } from "./process-claim.ts";

export interface Homogeneity {
  method: "pearson" | "treatment-by-coffee";
  statistic: number;
  df: number;
  errorDf: number | null;
  pValue: number;
}

/** Beta-binomial over tasters, when anyone answered more than once. */
export interface ReplicatedFinding {
  tasters: number;
  proportion: number;
  overdispersion: number | null;
  overdispersionPValue: number | null;
  estimate: Estimate;
}

/** Other tests of the same data, for the statistician; no state rests on them. */
export interface Companions {
  /** That the cups are identical and every pick a coin's throw (paired kinds). */
  strictBinomialPValue: number | null;
  signedRankPValue: number | null;
  tPValue: number | null;
  standardDeviation: number | null;
}

export interface CannotTellFinding {
  test: { count: number; of: number };
  control: { count: number; of: number };
}

/** One taster, for a faint point: share correct, lean, or mean difference. */
export interface TasterFinding {
  seatId: string;
  answers: number;
  value: number;
}

/** How much more would decide an inconclusive endpoint four times in five. */
export interface WhatWouldDecide {
  power: number;
  /** More tasters, as the plan serves them, to find a difference as large as the margin. */
  moreTastersToFind: number | null;
  /** More tasters for cups that are truly the same to pass on every coffee. */
  moreTastersToPass: number | null;
  /** More brew pairs before any claim about the process is possible; 0 when it already is. */
  moreBrewPairsForAnyClaim: number | null;
  /** More brew pairs to find a difference as large as the margin, at the spread seen. */
  moreBrewPairsToFind: number | null;
  /** More brew pairs for equal yields to pass, at the spread seen. */
  moreBrewPairsToPass: number | null;
}

export interface EndpointFinding {
  endpointId: string;
  kind: EndpointKind;
  role: EndpointRole;
  /** What was asked about: brightness, sweetness…; null unless the plan names an attribute. */
  attribute: string | null;
  /** The forced-choice method of its answers; null for scores and yields. */
  method: MethodName | null;
  unit: Unit;
  counts: Counts;
  estimate: Estimate | null;
  /** The cups claim (for extraction yield the pots' own difference, over brew pairs). */
  difference: DifferenceTest;
  margin: MarginTest;
  state: EndpointState;
  /** How the difference was shown, when it was. */
  shownBy: "overall" | "coffees" | null;
  process: ProcessClaim;
  coffees: CoffeeFinding[];
  homogeneity: Homogeneity | null;
  replicated: ReplicatedFinding | null;
  companions: Companions;
  cannotTell: CannotTellFinding | null;
  tasters: TasterFinding[];
  whatWouldDecide: WhatWouldDecide | null;
}
