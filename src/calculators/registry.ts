import type { Calculator } from "./calculator.ts";

const families: Calculator[][] = [];

/** Every calculator by name, in listing order. */
export const calculators: ReadonlyMap<string, Calculator> = new Map(
  families.flat().map((calculator) => [calculator.name, calculator]),
);
