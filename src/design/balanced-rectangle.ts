import { add, coordinate, range, spread, tallies } from "./balance.ts";
import { below, pick, type RandomSource, shuffle } from "./random.ts";

/**
 * One seat block of one coffee: a row per order, `columns` orders in each (no more than there are
 * orders), such that after every row
 * - all orders served so far, and each of their coordinates, are within one of even;
 * - so are those of each column, apart from the exception at {@link columnAllowance};
 * - no row holds an order twice.
 *
 * The rectangle is found by random search and shifted at random, so that each cell is uniform.
 */
export function balancedRectangle(
  radices: readonly number[],
  columns: number,
  random: RandomSource,
): number[][] {
  const size = radices.reduce((product, radix) => product * radix, 1);
  if (columns === 0) return range(size).map(() => []);
  const rows: number[][] = [];
  const search = { radices, size, columns, allowance: columnAllowance(size, columns), random };
  if (!fill(search, rows)) throw new Error(`balancedRectangle: none for ${size} × ${columns}`);
  const shift = below(random, size);
  return rows.map((row) => row.map((order) => add(radices, order, shift)));
}

/**
 * How far the second coordinate of a column may be from even. Six orders in three columns, and four
 * in two, admit no rectangle at one: keeping the coffee even after every row takes each column's
 * second coordinate to two (exhaustive search).
 */
function columnAllowance(size: number, columns: number): number {
  return size === 2 * columns && columns > 1 ? 2 : 1;
}

interface Search {
  radices: readonly number[];
  size: number;
  columns: number;
  allowance: number;
  random: RandomSource;
}

/** Completes the rows cell by cell, going back where nothing fits; leaves them as they were on failure. */
function fill(search: Search, rows: number[][]): boolean {
  if (rows.length === search.size && rows.at(-1)?.length === search.columns) return true;
  if (rows.length === 0 || rows.at(-1)?.length === search.columns) rows.push([]);
  const row = pick(rows, rows.length - 1);
  for (const order of shuffle(search.random, range(search.size))) {
    if (row.includes(order)) continue;
    row.push(order);
    if (fits(search, rows) && fill(search, rows)) return true;
    row.pop();
  }
  if (row.length === 0) rows.pop();
  return false;
}

function fits(search: Search, rows: readonly number[][]): boolean {
  const row = pick(rows, rows.length - 1);
  const column = rows.map((other) => pick(other, row.length - 1));
  if (!even(search, column, search.allowance)) return false;
  return row.length < search.columns || even(search, rows.flat(), 1);
}

/** Whether the orders and their first coordinate are within one of even, the second within the allowance. */
function even(search: Search, orders: readonly number[], allowance: number): boolean {
  const { radices, size } = search;
  if (spread(tallies(orders, size, (order) => order)) > 1) return false;
  return radices.every((radix, at) => {
    const counts = tallies(orders, radix, (order) => coordinate(radices, order, at));
    return spread(counts) <= (at === 0 ? 1 : allowance);
  });
}
