import fc from "fast-check";
import { describe, expect, test } from "vitest";
import { williamsOrders } from "../../src/design/coffee-order.ts";
import { streamsOf } from "./kits.ts";

const coffeeCounts = fc.integer({ min: 1, max: 12 });

function orders(coffees: number, seats: number, seed: string): number[][] {
  return williamsOrders(coffees, seats, streamsOf(seed)("coffee-order"));
}

describe("the order of coffees", () => {
  test("serves every coffee once to everyone, in each place within one of even at every number of seats", () => {
    fc.assert(
      fc.property(
        coffeeCounts,
        fc.integer({ min: 1, max: 200 }),
        fc.string(),
        (coffees, seats, seed) => {
          const rows = orders(coffees, seats, seed);
          const counts = rows.map(() => new Array<number>(coffees).fill(0));
          expect(rows).toHaveLength(seats);
          for (const row of rows) {
            expect(row.toSorted((a, b) => a - b)).toEqual(row.map((_, at) => at));
            row.forEach((coffee, place) => {
              const atPlace = counts[place] ?? [];
              atPlace[coffee] = (atPlace[coffee] ?? 0) + 1;
            });
            const spreads = counts.slice(0, coffees).map((c) => Math.max(...c) - Math.min(...c));
            expect(Math.max(...spreads)).toBeLessThanOrEqual(1);
          }
        },
      ),
      { numRuns: 40 },
    );
  });

  test("lets every coffee follow every other equally often after each whole block", () => {
    fc.assert(
      fc.property(
        coffeeCounts,
        fc.integer({ min: 1, max: 4 }),
        fc.string(),
        (coffees, blocks, seed) => {
          const rowsPerBlock = coffees % 2 === 0 || coffees === 1 ? coffees : 2 * coffees;
          const follows = new Map<string, number>();
          for (const row of orders(coffees, blocks * rowsPerBlock, seed)) {
            row.slice(1).forEach((coffee, at) => {
              const name = `${row[at]} ${coffee}`;
              follows.set(name, (follows.get(name) ?? 0) + 1);
            });
          }
          expect(follows.size).toBe(coffees * (coffees - 1));
          const each = (blocks * rowsPerBlock) / coffees;
          expect([...follows.values()].every((count) => count === each)).toBe(true);
        },
      ),
      { numRuns: 40 },
    );
  });

  test("names coffees and rows afresh in every block", () => {
    const firsts = Array.from({ length: 20 }, (_, at) => orders(4, 1, `order ${at}`).join());
    expect(new Set(firsts).size).toBeGreaterThan(5);
    const seconds = Array.from({ length: 20 }, (_, at) => {
      const [first = [], second = []] = orders(4, 2, `order ${at}`);
      return second.map((coffee) => first.indexOf(coffee)).join();
    });
    expect(new Set(seconds)).toEqual(new Set(["1,3,0,2", "2,0,3,1", "3,2,1,0"]));
  });
});
