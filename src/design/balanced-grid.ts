import { add, coordinate, range, spread, tallies } from "./balance.ts";
import { balancedRectangle } from "./balanced-rectangle.ts";
import { pick, type RandomSource, shuffle } from "./random.ts";

export interface GridShape {
  seats: number;
  coffees: number;
  /** Presentations of one kind that a taster gets of one coffee: pairs × replicates. */
  columns: number;
}

/**
 * Serving orders for a whole panel: `grid[seat][coffee][column]` is an order's number.
 *
 * Seats are drawn in blocks as long as there are orders, so that whoever sits down last keeps the
 * balance (permuted blocks, their inner order constrained). At every number of seats each coffee's
 * orders, and each coordinate of them, are within one of even, and so are each column's as far as
 * the numbers allow; each taster's orders over the coffees are within one of even, and their
 * coordinates as near as that leaves. Every seat's order is uniform by itself.
 *
 * @param radices how many values each coordinate of an order takes.
 */
export function balancedGrid(
  radices: readonly number[],
  shape: GridShape,
  random: RandomSource,
): number[][][] {
  const { seats, coffees, columns } = shape;
  if (columns === 0) return range(seats).map(() => range(coffees).map(() => []));
  const size = radices.reduce((product, radix) => product * radix, 1);
  const grid: number[][][] = [];
  while (grid.length < seats) grid.push(...seatBlock(radices, size, shape, random));
  return grid.slice(0, seats);
}

/** One block of seats over all coffees: the coffees take shifts of one rectangle until they come out even. */
function seatBlock(
  radices: readonly number[],
  size: number,
  shape: GridShape,
  random: RandomSource,
): number[][][] {
  const block: number[][][] = Array.from({ length: size }, () => []);
  const remainder = shape.columns % size;
  const extra = Math.floor(shape.columns / size);
  let base = balancedRectangle(radices, remainder, random);
  let taken: number[][] = base.map(() => []);
  for (const coffee of shuffle(random, range(shape.coffees))) {
    const shift = fittingShift(radices, size, base, taken, random);
    const parts = [shifted(radices, base, shift)];
    for (const row of range(size)) taken[row]?.push(...pick(pick(parts, 0), row));
    for (let full = 0; full < extra; full += 1) {
      parts.push(balancedRectangle(radices, size, random));
    }
    placeCoffee(block, coffee, parts, shuffle(random, range(shape.columns)));
    if (taken.every((row) => spread(tallies(row, size, (order) => order)) === 0)) {
      base = balancedRectangle(radices, remainder, random);
      taken = base.map(() => []);
    }
  }
  return block;
}

function placeCoffee(
  block: number[][][],
  coffee: number,
  parts: readonly number[][][],
  columns: readonly number[],
): void {
  block.forEach((row, at) => {
    const orders = parts.flatMap((part) => pick(part, at));
    row[coffee] = columns.map((column) => pick(orders, column));
  });
}

/** A shift that keeps every taster's orders nearest to even; among the equally good, one at random. */
function fittingShift(
  radices: readonly number[],
  size: number,
  base: readonly number[][],
  taken: readonly number[][],
  random: RandomSource,
): number {
  const cost = (shift: number): number =>
    base.reduce((sum, row, at) => {
      const orders = [...pick(taken, at), ...row.map((order) => add(radices, order, shift))];
      return sum + unevenness(radices, size, orders);
    }, 0);
  const costs = range(size).map(cost);
  const least = Math.min(...costs);
  const best = range(size).filter((shift) => costs[shift] === least);
  return pick(shuffle(random, best), 0);
}

/** Orders weigh first, coordinates second. */
function unevenness(radices: readonly number[], size: number, orders: readonly number[]): number {
  const excess = Math.max(0, spread(tallies(orders, size, (order) => order)) - 1);
  return radices.reduce((sum, radix, at) => {
    const over = spread(tallies(orders, radix, (order) => coordinate(radices, order, at))) - 1;
    return sum + Math.max(0, over);
  }, excess * 1000);
}

function shifted(radices: readonly number[], rows: readonly number[][], by: number): number[][] {
  return rows.map((row) => row.map((order) => add(radices, order, by)));
}
