import { range } from "./balance.ts";
import { pick, type RandomSource, shuffle } from "./random.ts";

/**
 * For each seat the order of the coffees, as their indexes: a Williams design, in which every coffee
 * takes every place equally often and follows every other equally often. Blocks of rows are
 * permuted and coffees named at random; any first seats have each place within one of even, and the
 * successions are even after each whole block (as many rows as coffees, twice that for odd numbers).
 */
export function williamsOrders(coffees: number, seats: number, random: RandomSource): number[][] {
  const orders: number[][] = [];
  while (orders.length < seats) {
    const names = shuffle(random, range(coffees));
    for (const square of williamsSquares(coffees)) {
      const rows = shuffle(random, square);
      orders.push(...rows.map((row) => row.map((coffee) => pick(names, coffee))));
    }
  }
  return orders.slice(0, seats);
}

/**
 * Williams's squares for n treatments: rows i of (0, 1, n−1, 2, n−2, …) + i modulo n; when n is odd
 * a second square of the same rows reversed.
 *
 * Source: Williams (1949), Aust. J. Sci. Res. A 2, 149–168.
 */
export function williamsSquares(count: number): number[][][] {
  const first = range(count).map((at) => (at % 2 === 1 ? (at + 1) / 2 : (count - at / 2) % count));
  const square = range(count).map((shift) => first.map((step) => (step + shift) % count));
  if (count % 2 === 0 || count === 1) return [square];
  return [square, square.map((row) => row.toReversed())];
}
