import { mean } from "simple-statistics";
import { tUpperQuantile } from "../statistics/distributions.ts";

export interface ParityRun {
  brewer: string;
  brewSeconds: number;
  beverageGrams: number;
}

export interface BrewerMean {
  brewer: string;
  runs: number;
  brewSeconds: number;
  beverageGrams: number;
}

/** 95 % interval of a difference of means; without repeated runs there is no scatter to build on. */
export interface DifferenceInterval {
  estimate: number;
  lower: number | null;
  upper: number | null;
}

export interface BrewerParity {
  ok: true;
  differences: { seconds: number; grams: number };
  passes: boolean;
  intervals: { seconds: DifferenceInterval; grams: DifferenceInterval };
  means: BrewerMean[];
}

/**
 * Whether brewers agree on blank runs: the largest brewer mean less the smallest, in seconds of brew
 * time and grams of beverage, each within its tolerance (the tolerance itself passes).
 *
 * The interval is that of the two outermost brewers' difference at 95 %, from the scatter of runs
 * within brewers (pooled over all of them), Bonferroni-widened when more than two brewers were
 * compared because the outermost pair was picked after looking.
 */
export function brewerParity(
  runs: readonly ParityRun[],
  tolerance: { seconds: number; grams: number },
): BrewerParity | { ok: false; refusal: "one-brewer" } {
  const brewers = [...new Set(runs.map((run) => run.brewer))];
  if (brewers.length < 2) return { ok: false, refusal: "one-brewer" };
  const groups = brewers.map((brewer) => runs.filter((run) => run.brewer === brewer));
  const seconds = compare(groups.map((group) => group.map((run) => run.brewSeconds)));
  const grams = compare(groups.map((group) => group.map((run) => run.beverageGrams)));
  return {
    ok: true,
    differences: { seconds: seconds.estimate, grams: grams.estimate },
    passes: within(seconds.estimate, tolerance.seconds) && within(grams.estimate, tolerance.grams),
    intervals: { seconds, grams },
    means: groups.map((group, index) => ({
      brewer: brewers[index] ?? "",
      runs: group.length,
      brewSeconds: mean(group.map((run) => run.brewSeconds)),
      beverageGrams: mean(group.map((run) => run.beverageGrams)),
    })),
  };
}

function within(difference: number, tolerance: number): boolean {
  // Decimal entries leave rounding in the means; a difference of exactly the tolerance passes.
  return difference <= tolerance + 1e-9 * Math.max(1, tolerance);
}

function compare(groups: readonly (readonly number[])[]): DifferenceInterval {
  const summaries = groups.map((values) => ({ mean: mean([...values]), runs: values.length }));
  const sorted = summaries.toSorted((left, right) => left.mean - right.mean);
  const [lowest, highest] = [sorted.at(0), sorted.at(-1)];
  if (!lowest || !highest) throw new Error("comparing brewers needs at least one group");
  const estimate = highest.mean - lowest.mean;
  const degrees = groups.reduce((sum, values) => sum + values.length - 1, 0);
  if (degrees === 0) return { estimate, lower: null, upper: null };
  const pairs = (groups.length * (groups.length - 1)) / 2;
  const t = tUpperQuantile(0.025 / pairs, degrees);
  const variance = groups.reduce((sum, values) => sum + squares(values), 0) / degrees;
  const half = t * Math.sqrt(variance * (1 / lowest.runs + 1 / highest.runs));
  return { estimate, lower: estimate - half, upper: estimate + half };
}

function squares(values: readonly number[]): number {
  const centre = mean([...values]);
  return values.reduce((sum, value) => sum + (value - centre) ** 2, 0);
}
