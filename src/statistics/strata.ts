import type { Sides } from "./binomial.ts";
import { type DiscriminationResult, discriminationTest } from "./discrimination.ts";
import { chiSquareUpperTail } from "./distributions.ts";
import type { MethodName } from "./methods/method.ts";
import { holm } from "./multiplicity.ts";

export interface CoffeeCount {
  label: string;
  correct: number;
  assessments: number;
}

/** A test's counts beside its results. */
export type CountedTest = DiscriminationResult & { correct: number; assessments: number };

export interface AcrossCoffees {
  each: (CountedTest & { label: string })[];
  pooled: CountedTest;
  /** Whether the proportion correct is the same on every coffee. */
  heterogeneity: Heterogeneity;
  /** Holm's adjusted p of each coffee. */
  adjusted: { label: string; pValue: number }[];
}

/** Null where there is nothing to compare: one coffee, or all answers alike. */
export interface Heterogeneity {
  statistic: number | null;
  df: number;
  pValue: number | null;
}

export interface AcrossCoffeesInput {
  method: MethodName;
  sides?: Sides;
  coffees: readonly CoffeeCount[];
  confidence?: number;
  alpha?: number;
}

/**
 * A forced-choice test on each coffee, and on all together. Total correct is binomial under the null
 * of pure guessing whatever the coffees, so the pooled exact test stands; but its size is an average,
 * and pooling can hide an opposite coffee. Hence the coffees one by one, with Holm's adjustment, and
 * Pearson's chi-square for heterogeneity without continuity correction (Pearson 1900).
 */
export function acrossCoffees(input: AcrossCoffeesInput): AcrossCoffees {
  const { coffees, ...test } = input;
  const counted = ({ correct, assessments }: Omit<CoffeeCount, "label">): CountedTest => ({
    correct,
    assessments,
    ...discriminationTest({ ...test, correct, assessments }),
  });
  const each = coffees.map((coffee) => ({ label: coffee.label, ...counted(coffee) }));
  const adjusted = holm(each.map((coffee) => coffee.pValue));
  return {
    each,
    pooled: counted(sumOf(coffees)),
    heterogeneity: heterogeneity(coffees),
    adjusted: each.map(({ label }, i) => ({ label, pValue: adjusted[i] ?? 1 })),
  };
}

/** Pearson's chi-square that all coffees share one proportion correct. */
export function heterogeneity(coffees: readonly Omit<CoffeeCount, "label">[]): Heterogeneity {
  const { correct, assessments } = sumOf(coffees);
  const df = coffees.length - 1;
  if (df === 0 || correct === 0 || correct === assessments) {
    return { statistic: null, df, pValue: null };
  }
  const proportion = correct / assessments;
  const statistic = coffees.reduce((sum, coffee) => {
    const excess = coffee.correct - coffee.assessments * proportion;
    return sum + excess ** 2 / (coffee.assessments * proportion * (1 - proportion));
  }, 0);
  return { statistic, df, pValue: chiSquareUpperTail(statistic, df) };
}

function sumOf(coffees: readonly Omit<CoffeeCount, "label">[]) {
  return {
    correct: coffees.reduce((sum, coffee) => sum + coffee.correct, 0),
    assessments: coffees.reduce((sum, coffee) => sum + coffee.assessments, 0),
  };
}
