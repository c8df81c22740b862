import fc from "fast-check";
import { describe, expect, test } from "vitest";
import { makeKit, type Pot, type Presentation } from "../../src/design/kit.ts";
import { kitFor, kitInputs, numberedCoffees, plainInput, streamsOf } from "./kits.ts";

/** Test pots of treatment A at a brewer, coffee by coffee. */
function brewedA(pots: readonly Pot[], coffeeId: string, brewerId: string): number {
  return pots.filter(
    (pot) =>
      pot.coffeeId === coffeeId &&
      pot.brewerId === brewerId &&
      pot.treatment === "A" &&
      !pot.controlPair,
  ).length;
}

describe("pots", () => {
  test("have letters unique within a coffee, never A, B, I, O or Q, and labels unique over the session", () => {
    fc.assert(
      fc.property(kitInputs, fc.string(), (input, seed) => {
        const kit = kitFor({ ...input, seats: 3, sparesPerPot: 0 }, seed);
        const names = kit.pots.map((pot) => `${pot.coffeeId} ${pot.letter}`);
        const pairs = input.pairsPerCoffee + input.controls.sameTreatmentPairsPerCoffee;
        expect(kit.pots).toHaveLength(2 * pairs * input.coffees.length);
        expect(new Set(names).size).toBe(names.length);
        expect(kit.pots.every((pot) => /^[CDEFGHJ-NPR-Z]$/.test(pot.letter))).toBe(true);
        expect(kit.pots.every((pot) => /^[CDEFGHJ-NPR-Z]\d\d$/.test(pot.waterLabel))).toBe(true);
        expect(new Set(kit.pots.map((pot) => pot.waterLabel)).size).toBe(kit.pots.length);
        expect(kit.pots.map((pot) => pot.brewOrder)).toEqual(kit.pots.map((_, at) => at + 1));
      }),
      { numRuns: 40 },
    );
  });

  test("fill ten pairs a coffee and refuse an eleventh for want of letters", () => {
    const most = { ...plainInput, seats: 2, pairsPerCoffee: 10 };
    expect(makeKit(most, streamsOf("many")).ok).toBe(true);
    const over = makeKit({ ...most, pairsPerCoffee: 11 }, streamsOf("many"));
    expect(over).toMatchObject({ ok: false, refusal: "too-many-pots" });
    expect(over.ok ? "" : over.message).toMatch(/22 pots.*21 letters/);
  });
});

describe("brewers", () => {
  test("swap treatments evenly within each coffee, and what is left over evens out over coffees", () => {
    fc.assert(
      fc.property(
        fc.integer({ min: 1, max: 12 }),
        fc.integer({ min: 1, max: 6 }),
        fc.integer({ min: 0, max: 2 }),
        fc.string(),
        (coffees, pairsPerCoffee, sameTreatmentPairsPerCoffee, seed) => {
          const controls = { samePot: 0, sameTreatmentPairsPerCoffee };
          const input = { ...plainInput, seats: 1, coffees: numberedCoffees(coffees), controls };
          const { pots } = kitFor({ ...input, pairsPerCoffee }, seed);
          const leans = input.coffees.map(
            (coffee) => 2 * brewedA(pots, coffee, "north") - pairsPerCoffee,
          );
          expect(leans.every((lean) => Math.abs(lean) === pairsPerCoffee % 2)).toBe(true);
          const overall = leans.reduce((sum, lean) => sum + lean, 0);
          expect(Math.abs(overall)).toBe((pairsPerCoffee % 2) * (coffees % 2));
        },
      ),
      { numRuns: 60 },
    );
  });

  test("of which there are three make each pair on two, and swap them within each coffee", () => {
    const brewers = ["north", "south", "east"];
    const kit = kitFor({ ...plainInput, brewers, seats: 1, pairsPerCoffee: 2 }, "three");
    for (const coffee of plainInput.coffees) {
      const own = kit.pots.filter((pot) => pot.coffeeId === coffee);
      const used = [...new Set(own.map((pot) => pot.brewerId))];
      expect(used).toHaveLength(2);
      expect(used.map((brewer) => brewedA(kit.pots, coffee, brewer))).toEqual([1, 1]);
    }
    expect(new Set(kit.pots.map((pot) => pot.brewerId)).size).toBe(3);
  });

  test("brew either treatment first equally often within a coffee, within one", () => {
    fc.assert(
      fc.property(kitInputs, fc.string(), (input, seed) => {
        const { pots } = kitFor({ ...input, seats: 1, sparesPerPot: 0 }, seed);
        for (const coffee of input.coffees) {
          const own = pots.filter((pot) => pot.coffeeId === coffee && !pot.controlPair);
          const aFirst = own.filter((pot, at) => at % 2 === 0 && pot.treatment === "A").length;
          expect(Math.abs(2 * aFirst - input.pairsPerCoffee)).toBeLessThanOrEqual(1);
        }
      }),
      { numRuns: 40 },
    );
  });
});

describe("a taster's sitting", () => {
  const withoutSamePot = (own: readonly Presentation[]) =>
    own.filter((presentation) => presentation.control !== "same-pot");

  test("holds every coffee, pair, replicate and kind of set once, beside the same-pot controls", () => {
    fc.assert(
      fc.property(kitInputs, fc.string(), (input, seed) => {
        const kit = kitFor({ ...input, seats: 4, sparesPerPot: 0 }, seed);
        const pairs = input.pairsPerCoffee + input.controls.sameTreatmentPairsPerCoffee;
        const expected = input.coffees.length * pairs * input.replicates * input.sets.length;
        for (const { presentations } of kit.seats) {
          const own = withoutSamePot(presentations);
          const names = own.map((p) => `${p.coffeeId} ${p.pair} ${p.replicate} ${p.setKind}`);
          expect(new Set(names).size).toBe(expected);
          expect(own).toHaveLength(expected);
          expect(presentations).toHaveLength(expected + input.controls.samePot);
          expect(presentations.map((p) => p.ordinal)).toEqual(presentations.map((_, at) => at + 1));
        }
      }),
      { numRuns: 40 },
    );
  });

  test("keeps a coffee together and two of the same pair and kind apart wherever possible", () => {
    fc.assert(
      fc.property(kitInputs, fc.string(), (input, seed) => {
        const kit = kitFor({ ...input, coffeeOrder: "balanced", seats: 4, sparesPerPot: 0 }, seed);
        for (const { presentations } of kit.seats) {
          const runs = runsOf(presentations.map((p) => p.coffeeId));
          expect(runs).toHaveLength(input.coffees.length);
          for (const coffee of input.coffees) {
            const sorts = presentations
              .filter((p) => p.coffeeId === coffee)
              .map((p) => `${p.pair} ${p.setKind}`);
            expect(sorts.length - runsOf(sorts).length).toBe(unavoidableRepeats(sorts));
          }
        }
      }),
      { numRuns: 40 },
    );
  });

  test("takes rounds in the same order as everyone's, coffee by coffee and pair by pair", () => {
    const controls = { samePot: 1, sameTreatmentPairsPerCoffee: 1 };
    const input = { ...plainInput, pairsPerCoffee: 2, replicates: 2, controls };
    const kit = kitFor({ ...input, coffeeOrder: "rounds" }, "rounds");
    const rounds = kit.rounds.map((round) => `${round.coffeeId} ${round.pair}`);
    for (const { presentations } of kit.seats) {
      expect(runsOf(presentations.map((p) => `${p.coffeeId} ${p.pair}`))).toEqual(rounds);
    }
  });
});

describe("a kit", () => {
  test.each([
    ["no set", { sets: [] }],
    ["no coffee", { coffees: [] }],
    ["no brewer", { brewers: [] }],
    ["half a seat", { seats: 1.5 }],
    ["no seat", { seats: 0 }],
    ["no pair", { pairsPerCoffee: 0 }],
    ["no replicate", { replicates: 0 }],
    ["fewer than no spares", { sparesPerPot: -1 }],
    ["fewer than no controls", { controls: { samePot: -1, sameTreatmentPairsPerCoffee: 0 } }],
  ])("is refused for %s", (_, wrong) => {
    expect(makeKit({ ...plainInput, ...wrong }, streamsOf("wrong"))).toMatchObject({
      ok: false,
      refusal: "bad-count",
    });
  });

  test("is refused when a coffee, a brewer or a kind of set is listed twice", () => {
    const twice = ["sallow", "sallow"];
    const sets = [{ kind: "ab" as const }, { kind: "ab" as const }];
    for (const wrong of [{ coffees: twice }, { brewers: twice }, { sets }]) {
      expect(makeKit({ ...plainInput, ...wrong }, streamsOf("twice"))).toMatchObject({
        refusal: "repeated-name",
      });
    }
  });

  test("is refused for more coffees than containers can be labelled for", () => {
    const coffees = numberedCoffees(61);
    expect(
      makeKit({ ...plainInput, seats: 1, sparesPerPot: 0, coffees }, streamsOf("c")),
    ).toMatchObject({
      refusal: "too-many-coffees",
    });
  });
});

/** The list with each run of equal items shortened to one. */
function runsOf(list: readonly string[]): string[] {
  return list.filter((item, at) => item !== list[at - 1]);
}

/** n of one sort need n − 1 others between them. */
function unavoidableRepeats(sorts: readonly string[]): number {
  const most = Math.max(...sorts.map((sort) => sorts.filter((other) => other === sort).length));
  return Math.max(0, 2 * most - sorts.length - 1);
}
