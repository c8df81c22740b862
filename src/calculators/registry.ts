import { brewCalculators } from "./brew.ts";
import type { Calculator } from "./calculator.ts";
import { designCalculators } from "./design.ts";
import { discriminationCalculators } from "./discrimination.ts";
import { groupedCountCalculators } from "./grouped-counts.ts";
import { pairedCalculators } from "./paired.ts";
import { panelCalculators } from "./panels.ts";
import { processCalculators } from "./process.ts";
import { safetyCalculators } from "./safety.ts";
import { sampleCalculators } from "./samples.ts";
import { synthesisCalculators } from "./synthesis.ts";
import { waterCalculators } from "./water.ts";

const families: Calculator[][] = [
  discriminationCalculators,
  pairedCalculators,
  groupedCountCalculators,
  panelCalculators,
  processCalculators,
  synthesisCalculators,
  sampleCalculators,
  waterCalculators,
  brewCalculators,
  safetyCalculators,
  designCalculators,
];

/** Every calculator by name, in listing order. */
export const calculators: ReadonlyMap<string, Calculator> = new Map(
  families.flat().map((calculator) => [calculator.name, calculator]),
);
