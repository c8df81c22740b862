import { describe, expect, test } from "vitest";
import { type Kit, type KitInput, makeKit, type Presentation } from "../../src/design/kit.ts";
import type { RandomSource } from "../../src/design/random.ts";
import { everySet, kitFor, plainInput, streamsOf, uniformP } from "./kits.ts";

const controls = { samePot: 1, sameTreatmentPairsPerCoffee: 1 };
const input: KitInput = { ...plainInput, replicates: 2, controls };

/** A source whose every throw comes out the same. */
const always = (word: number): RandomSource => ({
  bytes: (count) => new Uint8Array(count).fill(word, count - 1),
});

function kitWith(changed: KitInput, streams: Record<string, RandomSource>): Kit {
  const seeded = streamsOf("one session");
  const result = makeKit(changed, (name) => streams[name] ?? seeded(name));
  if (!result.ok) throw new Error(result.message);
  return result.kit;
}

/** All that may reach a taster: what comes when, under which codes. */
function tasterView(kit: Kit): unknown {
  return kit.seats.map(({ seat, presentations }) => ({
    seat,
    presentations: presentations.map(({ ordinal, setKind, coffeeId, pair, replicate, cups }) => ({
      ...{ ordinal, setKind, coffeeId, pair, replicate },
      cups: cups.map(({ position, code, reference }) => ({ position, code, reference })),
    })),
  }));
}

const controlPots = (kit: Kit) =>
  kit.seats.flatMap((s) => s.presentations.filter((p) => p.control).map(potLetters));
const potLetters = ({ cups }: Presentation) => cups.map((cup) => cup.potLetter);
const codesOf = (kit: Kit) =>
  kit.seats.map((s) => s.presentations.map((p) => p.cups.map((cup) => cup.code)));
const armsOf = (kit: Kit) =>
  kit.seats.map((s) => s.presentations.map((p) => [p.coffeeId, p.pair, p.arms.join("")]));
const swapped = (order: string) => [...order].map((t) => (t === "A" ? "B" : "A")).join("");

describe("swapping the treatments", () => {
  test.each(everySet)("changes nothing that a taster of a $kind gets", (set) => {
    const one = kitWith({ ...input, sets: [set] }, { treatments: always(0) });
    const other = kitWith({ ...input, sets: [set] }, { treatments: always(1) });
    expect(tasterView(other)).toEqual(tasterView(one));
    expect(other.spares).toEqual(one.spares);
    expect(controlPots(other)).toEqual(controlPots(one));
    expect(other.pots.map((pot) => pot.treatment)).toEqual(
      one.pots.map((pot) => swapped(pot.treatment)),
    );
    expect(other.pots.map(({ treatment: _, ...pot }) => pot)).toEqual(
      one.pots.map(({ treatment: _, ...pot }) => pot),
    );
  });

  test("turns every order round where the plan fixes no treatment", () => {
    const one = kitWith(input, { treatments: always(0) });
    const other = kitWith(input, { treatments: always(1) });
    const orders = (kit: Kit) => kit.seats.flatMap((s) => s.presentations.map((p) => p.order));
    expect(orders(other)).toEqual(orders(one).map(swapped));
  });

  test("happens in half of all sessions", () => {
    const seeds = Array.from({ length: 1_000 }, (_, at) => `half ${at}`);
    const small = { ...plainInput, seats: 1, coffees: ["sallow"] };
    const inA = seeds.filter((seed) => firstPotTreatment(kitFor(small, seed)) === "A").length;
    expect(uniformP([inA, 1_000 - inA])).toBeGreaterThan(0.001);
  });
});

function firstPotTreatment(kit: Kit): string | undefined {
  return kit.pots[0]?.treatment;
}

describe("every stream", () => {
  const kit = kitWith(input, {});
  const fresh = streamsOf("another session");

  test("draws the same kit again from the same seed, byte for byte", () => {
    expect(JSON.stringify(kitWith(input, {}))).toBe(JSON.stringify(kit));
    expect(JSON.stringify(kitFor(input, "another session"))).not.toBe(JSON.stringify(kit));
  });

  test("of codes decides codes alone", () => {
    const changed = kitWith(input, { codes: fresh("codes") });
    expect(codesOf(changed)).not.toEqual(codesOf(kit));
    expect(armsOf(changed)).toEqual(armsOf(kit));
    expect(changed.pots).toEqual(kit.pots);
  });

  test.each(["orders", "pots", "brewers", "treatments"])("of %s leaves the codes alone", (name) => {
    const changed = kitWith(input, { [name]: fresh(name) });
    expect(codesOf(changed)).toEqual(codesOf(kit));
  });

  test("of pots and of brewers leave what is served alone", () => {
    for (const name of ["pots", "brewers"]) {
      const changed = kitWith(input, { [name]: fresh(name) });
      expect(armsOf(changed)).toEqual(armsOf(kit));
      expect(changed.pots).not.toEqual(kit.pots);
    }
  });
});

describe("places on the tray and in the sitting", () => {
  test("give a same-pot control every place among its coffee's presentations equally often", () => {
    const places = [0, 0, 0];
    for (let seed = 0; seed < 1_000; seed += 1) {
      const one: KitInput = { ...plainInput, seats: 1, coffees: ["sallow"], pairsPerCoffee: 1 };
      const mixed = {
        ...one,
        replicates: 2,
        controls: { samePot: 1, sameTreatmentPairsPerCoffee: 0 },
      };
      const own = kitFor(mixed, `place ${seed}`).seats[0]?.presentations ?? [];
      const place = own.findIndex((p) => p.control === "same-pot");
      places[place] = (places[place] ?? 0) + 1;
    }
    expect(places).toHaveLength(3);
    expect(uniformP(places)).toBeGreaterThan(0.001);
  });

  test("give a same-treatment pair every pair number equally often", () => {
    const numbers = [0, 0, 0];
    for (let seed = 0; seed < 1_000; seed += 1) {
      const one = { ...plainInput, seats: 1, coffees: ["sallow"], pairsPerCoffee: 2 };
      const kit = kitFor(
        { ...one, controls: { samePot: 0, sameTreatmentPairsPerCoffee: 1 } },
        `n ${seed}`,
      );
      const pair = (kit.pots.find((pot) => pot.controlPair)?.pair ?? 0) - 1;
      numbers[pair] = (numbers[pair] ?? 0) + 1;
    }
    expect(numbers).toHaveLength(3);
    expect(uniformP(numbers)).toBeGreaterThan(0.001);
  });

  test("give the odd cup the lowest, middle and highest code of its tray equally often", () => {
    const ranks = [0, 0, 0];
    for (let seed = 0; seed < 1_000; seed += 1) {
      const kit = kitFor({ ...plainInput, seats: 1, coffees: ["sallow"] }, `rank ${seed}`);
      const { cups, oddPosition } = kit.seats[0]?.presentations[0] ?? { cups: [] };
      const odd = cups.find((cup) => cup.position === oddPosition)?.code ?? "";
      const rank = cups.filter((cup) => cup.code < odd).length;
      ranks[rank] = (ranks[rank] ?? 0) + 1;
    }
    expect(ranks).toHaveLength(3);
    expect(uniformP(ranks)).toBeGreaterThan(0.001);
  });
});
