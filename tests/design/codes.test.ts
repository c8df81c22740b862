import fc from "fast-check";
import { describe, expect, test } from "vitest";
import { assignCodes, CODE_POOL, digitsApart } from "../../src/design/codes.ts";
import { type Kit, makeKit, type PouringRound } from "../../src/design/kit.ts";
import { spareFor } from "../../src/design/spares.ts";
import { kitFor, kitInputs, numberedCoffees, plainInput, streamsOf } from "./kits.ts";

function isRepeating(list: readonly string[]): boolean {
  return new Set(list).size < list.length;
}

function codesOfSeats(kit: Kit): string[][] {
  return kit.seats.map(({ presentations }) =>
    presentations.flatMap(({ cups }) => cups.map((cup) => cup.code)),
  );
}

function codesOfRound(kit: Kit, round: PouringRound): string[] {
  const isHere = (place: { coffeeId: string; pair: number }): boolean =>
    place.coffeeId === round.coffeeId && place.pair === round.pair;
  const seats = kit.seats.filter(({ seat }) => seat >= round.firstSeat && seat <= round.lastSeat);
  const presentations = seats.flatMap((seat) => seat.presentations).filter(isHere);
  return [
    ...presentations.flatMap(({ cups }) => cups.map((cup) => cup.code)),
    ...kit.spares.filter(isHere).map((spare) => spare.code),
  ];
}

function expectCodeRules(kit: Kit): void {
  const bySeat = codesOfSeats(kit);
  const spares = kit.spares.map((spare) => spare.code);
  const seated = new Set(bySeat.flat());
  const allowed = new Set(CODE_POOL);
  expect(bySeat.flat().every((code) => allowed.has(code))).toBe(true);
  expect(bySeat.some(isRepeating)).toBe(false);
  expect(isRepeating(spares)).toBe(false);
  expect(spares.some((code) => seated.has(code))).toBe(false);
  for (const round of kit.rounds) {
    const codes = codesOfRound(kit, round);
    expect(isRepeating(codes)).toBe(false);
    expect(round.used).toBe(codes.length);
    expect(round.used).toBeLessThanOrEqual(round.capacity);
  }
  const trays = kit.seats.flatMap((seat) => seat.presentations).map(({ cups }) => cups);
  const tooClose = trays.filter((cups) =>
    cups.some((one, at) => cups.slice(at + 1).some((two) => digitsApart(one.code, two.code) < 2)),
  );
  expect(tooClose).toEqual([]);
}

describe("cup codes", () => {
  test("leave out the 33 telling ones: repdigits, runs up and down, round hundreds", () => {
    const pool = CODE_POOL;
    expect(pool).toHaveLength(900 - 9 - 7 - 8 - 9);
    expect(pool.every((code) => /^[1-9]\d\d$/.test(code))).toBe(true);
    for (const telling of ["100", "111", "123", "210", "321", "666", "789", "900", "987", "999"]) {
      expect(pool).not.toContain(telling);
    }
    expect(pool).toEqual(expect.arrayContaining(["101", "110", "135", "242", "669", "998"]));
  });

  test("obey every rule in every kit", () => {
    fc.assert(
      fc.property(kitInputs, fc.string(), (input, seed) => {
        const result = makeKit(input, streamsOf(seed));
        if (result.ok) expectCodeRules(result.kit);
        else expect(["round-over-capacity", "codes-exhausted"]).toContain(result.refusal);
      }),
      { numRuns: 50 },
    );
  });

  test("obey every rule when a round is all but full", () => {
    const input = {
      ...plainInput,
      sets: [{ kind: "tetrad" as const }],
      seats: 216,
      sparesPerPot: 0,
    };
    const kit = kitFor({ ...input, coffees: numberedCoffees(3) }, "full");
    expect(kit.rounds.map(({ used, capacity }) => [used, capacity])).toEqual([
      [864, 867],
      [864, 867],
      [864, 867],
    ]);
    expectCodeRules(kit);
  });

  test("are refused for a round over capacity, with the numbers", () => {
    const sets = [{ kind: "tetrad" as const }];
    const result = makeKit({ ...plainInput, sets, seats: 217, sparesPerPot: 0 }, streamsOf("over"));
    expect(result).toMatchObject({ ok: false, refusal: "round-over-capacity" });
    expect(result.ok ? "" : result.message).toMatch(/868 cups.*holds 867/);
  });

  test("obey every rule in sub-rounds of seats, where a round over capacity may be split", () => {
    const sets = [{ kind: "tetrad" as const }];
    const input = { ...plainInput, sets, seats: 400, replicates: 2 };
    const kit = kitFor({ ...input, roundsOverCapacity: "split" }, "split");
    expectCodeRules(kit);
    for (const coffee of input.coffees) {
      const parts = kit.rounds.filter((round) => round.coffeeId === coffee);
      expect(parts.map((round) => round.part)).toEqual([1, 2, 3, 4]);
      expect(parts.map((round) => round.firstSeat)).toEqual([
        1,
        ...parts.slice(0, -1).map((round) => round.lastSeat + 1),
      ]);
      expect(parts.at(-1)?.lastSeat).toBe(400);
    }
    const one = { ...input, seats: 1, cupsPerRound: 9, sparesPerPot: 1 };
    expect(makeKit({ ...one, roundsOverCapacity: "split" }, streamsOf("one"))).toMatchObject({
      refusal: "round-over-capacity",
    });
  });

  test("reach for a thousand tasters in rounds that a room can pour", () => {
    const input = { ...plainInput, seats: 1_000, cupsPerRound: 100 };
    const kit = kitFor({ ...input, roundsOverCapacity: "split" }, "hall");
    expectCodeRules(kit);
    expect(Math.max(...kit.rounds.map((round) => round.used))).toBeLessThanOrEqual(100);
  });

  test("are refused above the cups that a room can pour in one round", () => {
    const result = makeKit({ ...plainInput, cupsPerRound: 39 }, streamsOf("room"));
    expect(result.ok ? "" : result.message).toMatch(/40 cups.*holds 39/);
    expect(makeKit({ ...plainInput, cupsPerRound: 40 }, streamsOf("room")).ok).toBe(true);
    const long = {
      ...plainInput,
      cupsPerRound: 40,
      coffees: numberedCoffees(12),
      pairsPerCoffee: 2,
    };
    expect(makeKit(long, streamsOf("room")).ok).toBe(true);
  });

  test("are refused when one taster would need more than there are, at once even for absurd sizes", () => {
    const one = { ...plainInput, seats: 1, coffees: numberedCoffees(12) };
    const controls = { samePot: 1e9, sameTreatmentPairsPerCoffee: 0 };
    expect(makeKit({ ...one, controls }, streamsOf("s"))).toMatchObject({
      refusal: "codes-exhausted",
    });
    expect(makeKit({ ...one, seats: 20_000 }, streamsOf("s"))).toMatchObject({
      refusal: "round-over-capacity",
    });
    expect(makeKit({ ...one, seats: 1e12 }, streamsOf("s"))).toMatchObject({
      refusal: "too-many-seats",
    });
    expect(makeKit({ ...one, sparesPerPot: 1e9 }, streamsOf("s"))).toMatchObject({
      refusal: "round-over-capacity",
    });
  });

  test("run out as a value when more spares are asked for than exist", () => {
    const request = { trays: [], spares: [868] };
    expect(assignCodes(request, streamsOf("spares")("codes"))).toBeUndefined();
  });
});

describe("a spare code", () => {
  test("waits for each pot as often as asked, in an order of letters that tells nothing of arms", () => {
    const kit = kitFor({ ...plainInput, sparesPerPot: 3 }, "spares");
    const lettersOf = (coffee: string) =>
      kit.pots.filter((pot) => pot.coffeeId === coffee).map((pot) => pot.letter);
    for (const { coffeeId } of kit.rounds) {
      const listed = kit.spares
        .filter((own) => own.coffeeId === coffeeId)
        .map((own) => own.potLetter);
      const [one = "", two = ""] = lettersOf(coffeeId).toSorted();
      expect(listed).toEqual([one, one, one, two, two, two]);
    }
  });

  const pot = { coffeeId: "sallow", potLetter: "K" };
  const spare = (potLetter: string, code: string) => ({
    coffeeId: "sallow",
    pair: 1,
    potLetter,
    code,
  });
  const spares = [spare("K", "481"), spare("M", "275"), spare("K", "936")];

  test("comes from the spilled cup's own pot and is given out once", () => {
    expect(spareFor(pot, spares, ["250"], new Set())).toBe("481");
    expect(spareFor(pot, spares, ["250"], new Set(["481"]))).toBe("936");
    expect(spareFor(pot, spares, ["250"], new Set(["481", "936"]))).toBeUndefined();
  });

  test("differs in two digits from the codes that stay on the tray", () => {
    expect(spareFor(pot, spares, ["482", "250"], new Set())).toBe("936");
  });
});
