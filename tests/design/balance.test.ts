import fc from "fast-check";
import { describe, expect, test } from "vitest";
import {
  type KitInput,
  makeKit,
  type Presentation,
  type SetRequest,
} from "../../src/design/kit.ts";
import { everySet, kitFor, kitInputs, numberedCoffees, plainInput, streamsOf } from "./kits.ts";

/** ISO 4120, ISO 10399, ISO 5495: how many serving orders make a complete set. */
function ordersOf(set: SetRequest): number {
  switch (set.kind) {
    case "triangle":
    case "tetrad":
      return 6;
    case "three-afc":
      return 3;
    case "ab":
      return 2;
    case "duo-trio":
      return set.reference === "balanced" ? 4 : 2;
  }
}

/** How far counts of some feature are from even, at worst over all numbers of first seats. */
class Tally {
  worst = 0;
  private readonly counts = new Map<string, number>();
  private readonly size: number;

  constructor(size: number) {
    this.size = size;
  }

  add(feature: string): void {
    this.counts.set(feature, (this.counts.get(feature) ?? 0) + 1);
  }

  measure(): void {
    const counts = [...this.counts.values()];
    const least = counts.length < this.size ? 0 : Math.min(...counts);
    this.worst = Math.max(this.worst, Math.max(0, ...counts) - least);
  }
}

type Feature = (presentation: Presentation) => string;

/** The worst imbalance of a feature, group by group, at every number of first seats. */
function worstOverSeats(
  seats: readonly (readonly Presentation[])[],
  group: Feature,
  feature: Feature,
  size: number,
): number {
  const tallies = new Map<string, Tally>();
  for (const presentations of seats) {
    for (const presentation of presentations) {
      const name = group(presentation);
      const tally = tallies.get(name) ?? new Tally(size);
      tallies.set(name, tally);
      tally.add(feature(presentation));
    }
    for (const tally of tallies.values()) tally.measure();
  }
  return Math.max(0, ...[...tallies.values()].map((tally) => tally.worst));
}

/** The worst imbalance of a feature over each seat's own presentations. */
function worstWithinSeat(
  seats: readonly (readonly Presentation[])[],
  feature: Feature,
  size: number,
): number {
  return Math.max(...seats.map((own) => worstOverSeats([own], () => "all", feature, size)));
}

const byCoffee: Feature = ({ coffeeId }) => coffeeId;
const byPairAndReplicate: Feature = ({ coffeeId, pair, replicate }) =>
  `${coffeeId}/${pair}/${replicate}`;
const order: Feature = (presentation) => presentation.arms.join("");
const treatmentOrder: Feature = (presentation) => presentation.order;
const first: Feature = (presentation) => presentation.order[0] ?? "";
const odd: Feature = (presentation) => String(presentation.oddPosition);

const hasFirst = (set: SetRequest): boolean =>
  set.kind !== "three-afc" && !(set.kind === "duo-trio" && set.reference === "constant");
const oddPlaces = (set: SetRequest): number =>
  set.kind === "duo-trio" ? 2 : set.kind === "tetrad" || set.kind === "ab" ? 0 : 3;

function testsOf(input: KitInput, seed: string, set: SetRequest): Presentation[][] | undefined {
  const result = makeKit(input, streamsOf(seed));
  if (!result.ok) {
    expect(["round-over-capacity", "codes-exhausted"]).toContain(result.refusal);
    return undefined;
  }
  return result.kit.seats.map(({ presentations }) =>
    presentations.filter((own) => own.setKind === set.kind && own.control === undefined),
  );
}

function expectBalanced(input: KitInput, seed: string): void {
  for (const set of input.sets) {
    const seats = testsOf(input, seed, set);
    if (seats === undefined) return;
    const size = ordersOf(set);
    expect(worstOverSeats(seats, byCoffee, treatmentOrder, size)).toBeLessThanOrEqual(1);
    expect(worstOverSeats(seats, byPairAndReplicate, treatmentOrder, size)).toBeLessThanOrEqual(1);
    expect(worstWithinSeat(seats, treatmentOrder, size)).toBeLessThanOrEqual(1);
    if (hasFirst(set)) {
      expect(worstOverSeats(seats, byCoffee, first, 2)).toBeLessThanOrEqual(1);
      expect(worstOverSeats(seats, byPairAndReplicate, first, 2)).toBeLessThanOrEqual(2);
      expect(worstWithinSeat(seats, first, 2)).toBeLessThanOrEqual(1);
    }
    if (oddPlaces(set) > 0) {
      expect(worstOverSeats(seats, byCoffee, odd, oddPlaces(set))).toBeLessThanOrEqual(1);
      expect(worstOverSeats(seats, byPairAndReplicate, odd, oddPlaces(set))).toBeLessThanOrEqual(1);
      expect(worstWithinSeat(seats, odd, oddPlaces(set))).toBeLessThanOrEqual(2);
    }
  }
}

describe("serving orders", () => {
  test.each(everySet)(
    "of $kind ($reference, $oddTreatment) stay within one of even for 200 tasters and 12 coffees",
    (set) => {
      const input = {
        ...plainInput,
        sets: [set],
        seats: 200,
        coffees: numberedCoffees(12),
        sparesPerPot: 1,
      };
      expect(makeKit(input, streamsOf("large")).ok).toBe(true);
      expectBalanced(input, "large");
    },
  );

  test("stay within one of even at every number of seats, per coffee, pair, replicate and taster", () => {
    fc.assert(fc.property(kitInputs, fc.string(), expectBalanced), { numRuns: 80 });
  }, 300_000);

  test("put a taster's odd cups in each place within one of even over coffees of one pair", () => {
    fc.assert(
      fc.property(
        fc.constantFrom(...everySet.filter((set) => oddPlaces(set) > 0)),
        fc.integer({ min: 1, max: 60 }),
        fc.integer({ min: 1, max: 12 }),
        fc.string(),
        (set, seats, coffees, seed) => {
          const input = { ...plainInput, sets: [set], seats, coffees: numberedCoffees(coffees) };
          const tests = testsOf(input, seed, set) ?? [];
          expect(tests).toHaveLength(seats);
          expect(worstWithinSeat(tests, odd, oddPlaces(set))).toBeLessThanOrEqual(1);
        },
      ),
      { numRuns: 40 },
    );
  });
});

describe("hidden controls", () => {
  test("are balanced by themselves at every number of seats", () => {
    fc.assert(
      fc.property(kitInputs, fc.string(), (input, seed) => {
        const result = makeKit(input, streamsOf(seed));
        if (!result.ok) return;
        const seats = result.kit.seats.map((seat) => seat.presentations);
        const [set] = input.sets;
        if (set === undefined) throw new Error("no set");
        const control = (name: string) =>
          seats.map((own) => own.filter((p) => p.control === name && p.setKind === set.kind));
        const all = (): string => "all";
        const samePot = control("same-pot");
        expect(worstOverSeats(samePot, all, order, ordersOf(set))).toBeLessThanOrEqual(1);
        expect(worstOverSeats(samePot, all, byCoffee, input.coffees.length)).toBeLessThanOrEqual(1);
        expect(worstWithinSeat(samePot, byCoffee, input.coffees.length)).toBeLessThanOrEqual(1);
        const sameTreatment = control("same-treatment");
        expect(worstOverSeats(sameTreatment, byCoffee, order, ordersOf(set))).toBeLessThanOrEqual(
          1,
        );
      }),
      { numRuns: 40 },
    );
  });

  test("fill a same-pot presentation from one pot, and a same-treatment one from two of one treatment", () => {
    const controls = { samePot: 2, sameTreatmentPairsPerCoffee: 1 };
    const { seats, pots } = kitFor({ ...plainInput, controls }, "controls");
    const presentations = seats.flatMap((seat) => seat.presentations);
    const potsIn = (p: Presentation) => new Set(p.cups.map((cup) => cup.potLetter)).size;
    const treatmentsIn = (p: Presentation) => new Set(p.order).size;
    const samePot = presentations.filter((p) => p.control === "same-pot");
    const sameTreatment = presentations.filter((p) => p.control === "same-treatment");
    const tests = presentations.filter((p) => p.control === undefined);
    expect(samePot).toHaveLength(24);
    expect(samePot.every((p) => potsIn(p) === 1)).toBe(true);
    expect(sameTreatment).toHaveLength(36);
    expect(sameTreatment.every((p) => potsIn(p) === 2 && treatmentsIn(p) === 1)).toBe(true);
    expect(tests.every((p) => potsIn(p) === 2 && treatmentsIn(p) === 2)).toBe(true);
    expect(pots.filter((pot) => pot.controlPair)).toHaveLength(6);
  });

  test("use either treatment for same-treatment pairs equally often, within one", () => {
    fc.assert(
      fc.property(
        fc.integer({ min: 1, max: 12 }),
        fc.integer({ min: 1, max: 3 }),
        fc.string(),
        (coffees, sameTreatmentPairsPerCoffee, seed) => {
          const controls = { samePot: 0, sameTreatmentPairsPerCoffee };
          const { pots } = kitFor(
            { ...plainInput, coffees: numberedCoffees(coffees), controls },
            seed,
          );
          const inA = pots.filter((pot) => pot.controlPair && pot.treatment === "A").length / 2;
          const all = coffees * sameTreatmentPairsPerCoffee;
          expect(Math.abs(2 * inA - all)).toBeLessThanOrEqual(1);
        },
      ),
      { numRuns: 40 },
    );
  });
});
