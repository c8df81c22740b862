import type { Presentation } from "./kit-records.ts";
import type { Treatment } from "./serving-orders.ts";

/** How evenly a set of presentations is spread. */
export interface ServingBalance {
  /** How often each serving order occurs; orders that never do are left out. */
  sequences: Record<string, number>;
  /** How often each treatment is served first (in a duo-trio: is the reference). */
  firstTreatment: Record<Treatment, number>;
  /** How often each place holds the odd cup; null for sets without one. */
  oddPosition: Record<string, number> | null;
}

/** Counts the orders, first treatments and odd places of presentations of one kind, hidden controls left out. */
export function servingBalance(presentations: readonly Presentation[]): ServingBalance {
  const tests = presentations.filter((presentation) => presentation.control === undefined);
  const sequences: Record<string, number> = {};
  const firstTreatment = { A: 0, B: 0 };
  for (const { order, cups } of tests) {
    sequences[order] = (sequences[order] ?? 0) + 1;
    const [first] = cups;
    if (first !== undefined) firstTreatment[first.treatment] += 1;
  }
  return { sequences, firstTreatment, oddPosition: oddPlaces(tests) };
}

function oddPlaces(tests: readonly Presentation[]): Record<string, number> | null {
  const [sample] = tests;
  if (sample?.oddPosition === undefined) return null;
  const places = sample.cups.filter((cup) => cup.reference !== true).map((cup) => cup.position);
  const count = (place: number): number =>
    tests.filter((test) => test.oddPosition === place).length;
  return Object.fromEntries(places.map((place) => [place, count(place)]));
}
