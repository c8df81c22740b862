import type { Companions, Homogeneity, ReplicatedFinding } from "../endpoint-finding.ts";
import type { Counts, Estimate, Unit } from "../finding-parts.ts";
import type { MeasuredDifference, MeasuredMargin, MeasuredProcess } from "../measured.ts";
import type { Observation } from "../observations.ts";

/** How one kind of answer is measured; the same for all coffees together and for one of them. */
export interface Measure {
  unit: Unit;
  counts: (observations: readonly Observation[]) => Counts;
  /** Interval at 1 − alpha. */
  estimate: (observations: readonly Observation[], alpha: number) => Estimate | null;
  /** `level` only places the critical count. */
  difference: (observations: readonly Observation[], level: number) => MeasuredDifference;
  /** Whatever the plan's sides. */
  twoSidedPValue: (observations: readonly Observation[]) => number | null;
  /** For one coffee. */
  margin: (observations: readonly Observation[], alpha: number) => MeasuredMargin;
  process: (
    tests: readonly Observation[],
    controls: readonly Observation[],
    alpha: number,
  ) => MeasuredProcess;
  homogeneity: (observations: readonly Observation[]) => Homogeneity | null;
  replicated: (observations: readonly Observation[], alpha: number) => ReplicatedFinding | null;
  companions: (observations: readonly Observation[]) => Companions;
  /** A taster's value as shown: a share, or a mean difference. */
  tasterValue: (mean: number) => number;
}
