import { hochberg, holm } from "../statistics/multiplicity.ts";
import type { CoffeeFinding } from "./coffee-finding.ts";
import type { MeasuredCoffee, MeasuredEndpoint } from "./measured.ts";
import { atMost, stateOf } from "./verdict.ts";

/** How single coffees may be claimed. */
export interface CoffeeRules {
  /** What a coffee's Holm-adjusted p is held against. */
  level: number;
  alpha: number;
  /** Coffees may be claimed: the overall test was passed, or alpha was split beforehand. */
  open: boolean;
  /** Every coffee is within the margin. */
  within: boolean;
}

export interface JudgedCoffee {
  measured: MeasuredCoffee;
  finding: CoffeeFinding;
}

/**
 * Each coffee against its level: difference by Holm over the coffees, closeness by Hochberg, which
 * passes all of them exactly when the weakest passes, as the claim over coffees does.
 */
export function judgeCoffees(one: MeasuredEndpoint, rules: CoffeeRules): JudgedCoffee[] {
  const differences = holm(one.coffees.map((coffee) => coffee.difference.pValue ?? 1));
  const margins = hochberg(one.coffees.map((coffee) => coffee.margin.pValue ?? 1));
  return one.coffees.map((measured, i) => {
    const differenceP = measured.difference.pValue === null ? null : (differences[i] ?? 1);
    const marginP = measured.margin.pValue === null ? null : (margins[i] ?? 1);
    const shown = rules.open && atMost(differenceP, rules.level);
    const within = atMost(marginP, rules.alpha);
    const { twoSidedPValue: _, ...rest } = measured;
    const finding: CoffeeFinding = {
      ...rest,
      difference: {
        ...rest.difference,
        // Among several coffees no single count decides: Holm's level moves with the others.
        criticalCount: one.coffees.length > 1 ? null : rest.difference.criticalCount,
        adjustedPValue: differenceP,
        level: rules.level,
        shown,
      },
      margin: { ...rest.margin, adjustedPValue: marginP, level: rules.alpha, within },
      state: stateOf(shown, within),
      goesOtherWay: opposite(measured, one),
      exception: null,
      exceptionPValue: null,
    };
    return { measured, finding };
  });
}

/**
 * Names the coffees that an overall finding does not hold for: those that lean the other way beyond
 * chance, and those shown to be within the margin while the whole is not. Among coffees that lean
 * the other way, a two-sided p is uniform given its side when the coffee has no lean, and larger
 * when it leans with the others; so Holm over these coffees alone holds the level.
 */
export function nameExceptions(
  judged: readonly JudgedCoffee[],
  one: MeasuredEndpoint,
  level: number,
): CoffeeFinding[] {
  const others = judged.filter(({ finding }) => finding.goesOtherWay);
  const adjusted = holm(others.map(({ measured }) => measured.twoSidedPValue ?? 1));
  const allWithin = judged.every(({ finding }) => finding.margin.within);
  return judged.map((coffee) => {
    const { finding } = coffee;
    const place = others.indexOf(coffee);
    const exceptionPValue = place < 0 ? null : (adjusted[place] ?? 1);
    if (one.coffees.length > 1 && atMost(exceptionPValue, level)) {
      return { ...finding, exception: "other-way", exceptionPValue };
    }
    const close = finding.margin.within && !allWithin;
    return { ...finding, exception: close ? "within-margin" : null, exceptionPValue };
  });
}

/** Against the overall lean; a share who can tell has no direction, being right more often than luck. */
function opposite(coffee: MeasuredCoffee, one: MeasuredEndpoint): boolean {
  if (one.unit === "distinguishers") return false;
  return (coffee.estimate?.value ?? 0) * (one.estimate?.value ?? 0) < 0;
}
