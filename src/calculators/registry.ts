import { brewCalculators } from "./brew.ts";
import type { Calculator } from "./calculator.ts";
import { discriminationCalculators } from "./discrimination.ts";
import { safetyCalculators } from "./safety.ts";

const families: Calculator[][] = [discriminationCalculators, brewCalculators, safetyCalculators];

/** Every calculator by name, in listing order. */
export const calculators: ReadonlyMap<string, Calculator> = new Map(
  families.flat().map((calculator) => [calculator.name, calculator]),
);
