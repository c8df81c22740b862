import fc from "fast-check";
import { type Kit, type KitInput, makeKit, type SetRequest } from "../../src/design/kit.ts";
import { type RandomSource, seedFromText, stream } from "../../src/design/random.ts";
import { chiSquareUpperTail } from "../../src/statistics/distributions.ts";

/** Every kind of set, with everything about it that a plan can fix. */
export const everySet: readonly SetRequest[] = [
  { kind: "triangle" },
  { kind: "tetrad" },
  { kind: "ab" },
  { kind: "duo-trio", reference: "balanced" },
  { kind: "duo-trio", reference: "constant" },
  { kind: "duo-trio", reference: "constant", referenceTreatment: "B" },
  { kind: "three-afc", oddTreatment: "A" },
  { kind: "three-afc", oddTreatment: "B" },
];

export const plainInput: KitInput = {
  sets: [{ kind: "triangle" }],
  coffees: ["sallow", "petrel", "bramble"],
  pairsPerCoffee: 1,
  replicates: 1,
  controls: { samePot: 0, sameTreatmentPairsPerCoffee: 0 },
  seats: 12,
  brewers: ["north", "south"],
  coffeeOrder: "balanced",
  sparesPerPot: 2,
};

export function numberedCoffees(count: number): string[] {
  return Array.from({ length: count }, (_, at) => `coffee-${at + 1}`);
}

/** The streams of a seed that is given as text. */
export function streamsOf(seed: string): (name: string) => RandomSource {
  const bytes = seedFromText(seed);
  return (name) => stream(bytes, name);
}

/** A kit that must not be refused. */
export function kitFor(input: KitInput, seed: string): Kit {
  const result = makeKit(input, streamsOf(seed));
  if (!result.ok) throw new Error(result.message);
  return result.kit;
}

/** Sessions of every size that a kit may be asked for, some of them too large. */
export const kitInputs: fc.Arbitrary<KitInput> = fc.record({
  sets: fc.oneof(
    fc.constantFrom(...everySet).map((set) => [set]),
    fc.constant<SetRequest[]>([{ kind: "ab" }, { kind: "triangle" }]),
    fc.constant<SetRequest[]>([{ kind: "duo-trio", reference: "balanced" }, { kind: "ab" }]),
  ),
  coffees: fc.integer({ min: 1, max: 12 }).map(numberedCoffees),
  pairsPerCoffee: fc.integer({ min: 1, max: 3 }),
  replicates: fc.integer({ min: 1, max: 2 }),
  controls: fc.record({
    samePot: fc.integer({ min: 0, max: 3 }),
    sameTreatmentPairsPerCoffee: fc.integer({ min: 0, max: 2 }),
  }),
  seats: fc.integer({ min: 1, max: 200 }),
  brewers: fc.constantFrom(["north"], ["north", "south"], ["north", "south", "east"]),
  coffeeOrder: fc.constantFrom("balanced", "rounds"),
  sparesPerPot: fc.integer({ min: 0, max: 2 }),
});

/** Pearson's chi-square probability of counts that ought to be equal. */
export function uniformP(counts: readonly number[]): number {
  const expected = counts.reduce((sum, count) => sum + count, 0) / counts.length;
  const statistic = counts.reduce((sum, count) => sum + (count - expected) ** 2 / expected, 0);
  return chiSquareUpperTail(statistic, counts.length - 1);
}
