import type { Calculator } from "../../src/calculators/calculator.ts";

/** Calculators by the job at hand, in the order in which an experiment needs them. */
const shelves: readonly { title: string; caution?: string; names: readonly string[] }[] = [
  {
    title: "Before a tasting",
    names: ["serving-plan", "panel-size", "discrimination-power", "critical-counts", "paired-size"],
  },
  {
    title: "What the answers say",
    names: [
      "discrimination-test",
      "similarity-test",
      "across-coffees",
      "replicated-test",
      "process-test",
      "process-contrast",
    ],
  },
  {
    title: "What the scores say",
    names: ["paired-scores", "equivalence", "friedman", "two-way", "describe"],
  },
  { title: "Several questions or sessions", names: ["adjust-p", "random-effects"] },
  { title: "Between scales", names: ["psychometric", "binomial-interval"] },
  {
    title: "Water",
    caution:
      "Use food-grade salts only, check purity and hydrate on the label, and tell tasters of every substance that a cup may hold. What your local food and water rules say comes first.",
    names: [
      "match-minerals",
      "water-properties",
      "salts-to-ions",
      "ions-to-salts",
      "cup-dose",
      "water-batch-check",
      "transfer-models",
    ],
  },
  { title: "Brew", names: ["extraction", "brewer-parity", "dose-dilution", "mineral-reading"] },
  {
    title: "People",
    caution:
      "The limit holds for healthy adults. It replaces neither a doctor's word nor your workplace's own rules; anyone may sip, spit or sit out.",
    names: ["caffeine-load"],
  },
];

export interface Shelf {
  title: string;
  calculators: Calculator[];
}

/** What to mind when a calculator's result is used on people; null where nothing can hurt. */
export function cautionFor(name: string): string | null {
  return shelves.find((shelf) => shelf.names.includes(name))?.caution ?? null;
}

/** The shelves that hold anything; whatever has no place of its own comes last. */
export function shelve(calculators: ReadonlyMap<string, Calculator>): Shelf[] {
  const placed = new Set(shelves.flatMap(({ names }) => names));
  const known = shelves.map(({ title, names }) => ({
    title,
    calculators: names.flatMap((name) => calculators.get(name) ?? []),
  }));
  const others = [...calculators.values()].filter(({ name }) => !placed.has(name));
  return [...known, { title: "Others", calculators: others }].filter(
    (shelf) => shelf.calculators.length > 0,
  );
}
