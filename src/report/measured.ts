import type { CoffeeFinding } from "./coffee-finding.ts";
import type { EndpointFinding } from "./endpoint-finding.ts";
import type { Counts, DifferenceTest, Estimate, MarginTest } from "./finding-parts.ts";
import type { ProcessClaim } from "./process-claim.ts";

/** What an endpoint's data say before anything is held against alpha. */
export type MeasuredDifference = Omit<DifferenceTest, "adjustedPValue" | "level" | "shown">;
export type MeasuredMargin = Omit<MarginTest, "adjustedPValue" | "level" | "within">;
export type MeasuredProcess = Omit<ProcessClaim, "adjustedPValue" | "status"> & {
  /** Why there is no p at all. */
  missing: "no-control-pairs" | "no-data" | null;
};

/** One sample of one endpoint: all coffees together, or one of them. */
export interface Measured {
  counts: Counts;
  estimate: Estimate | null;
  difference: MeasuredDifference;
  margin: MeasuredMargin;
}

export interface MeasuredCoffee
  extends Measured,
    Pick<CoffeeFinding, "coffeeId" | "name" | "roast"> {
  /** Whatever the plan's sides: for a coffee that leans the other way. */
  twoSidedPValue: number | null;
}

export interface MeasuredEndpoint
  extends Measured,
    Omit<
      EndpointFinding,
      | "difference"
      | "margin"
      | "process"
      | "coffees"
      | "state"
      | "shownBy"
      | "whatWouldDecide"
      | "counts"
      | "estimate"
    > {
  process: MeasuredProcess;
  coffees: MeasuredCoffee[];
}
