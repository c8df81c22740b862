import { expect, test } from "vitest";
import { CODE_POOL } from "../../src/design/codes.ts";
import { kitFor, plainInput, uniformP } from "./kits.ts";

/** Ten thousand kits take seconds on an idle machine, minutes on a crowded one. */
const SLOW = 300_000;

/** A tally over values that are all possible, so that one which never turns up is missed. */
function countsOf(possible: readonly string[], seen: readonly string[]): number[] {
  const counts = new Map(possible.map((value) => [value, 0]));
  for (const value of seen) counts.set(value, (counts.get(value) ?? Number.NaN) + 1);
  return [...counts.values()];
}

const triads = ["AAB", "ABA", "BAA", "ABB", "BAB", "BBA"];

test(
  "over 10,000 seeds every triad and every code is equally likely, at first and late seats",
  () => {
    const input = { ...plainInput, seats: 5, coffees: ["sallow"], sparesPerPot: 1 };
    const kits = Array.from({ length: 10_000 }, (_, seed) => kitFor(input, `uniform ${seed}`));
    const presentations = (seat: number) => kits.map((kit) => kit.seats[seat]?.presentations[0]);
    for (const seat of [0, 2, 3, 4]) {
      const orders = presentations(seat).map((own) => own?.order ?? "");
      expect(uniformP(countsOf(triads, orders))).toBeGreaterThan(0.001);
    }
    for (const [seat, cup] of [
      [0, 0],
      [4, 2],
    ] as const) {
      const codes = presentations(seat).map((own) => own?.cups[cup]?.code ?? "");
      expect(uniformP(countsOf(CODE_POOL, codes))).toBeGreaterThan(0.001);
    }
  },
  SLOW,
);
