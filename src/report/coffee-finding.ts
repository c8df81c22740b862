import type {
  Counts,
  DifferenceTest,
  EndpointState,
  Estimate,
  MarginTest,
} from "./finding-parts.ts";

/** Why a coffee is an exception to an overall finding. */
export type CoffeeException = "other-way" | "within-margin";

export interface CoffeeFinding {
  coffeeId: string;
  name: string;
  roast: string;
  counts: Counts;
  estimate: Estimate | null;
  difference: DifferenceTest;
  margin: MarginTest;
  state: EndpointState;
  /** Leans against the overall estimate, by chance or not. */
  goesOtherWay: boolean;
  exception: CoffeeException | null;
  /**
   * For a coffee that leans the other way: its two-sided p, Holm-adjusted over the coffees that do.
   * Given the side, that p is uniform without an effect, so naming holds the level.
   */
  exceptionPValue: number | null;
}
