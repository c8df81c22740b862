import { range } from "./balance.ts";
import { balancedGrid } from "./balanced-grid.ts";
import { choose, pick, type RandomSource, shuffle } from "./random.ts";
import type { Arm } from "./serving-orders.ts";

/** A hidden presentation whose cups all come from one pot. */
export interface SamePotControl {
  /** Index of the coffee. */
  coffee: number;
  pair: number;
  /** Which of the pair's pots fills all cups. */
  arm: Arm;
  /** Number of the serving order by which the answer is scored. */
  order: number;
}

export interface SamePotShape {
  seats: number;
  coffees: number;
  /** Pairs per coffee, from 1. */
  pairs: number;
  perTaster: number;
}

/**
 * Each taster's same-pot controls. Any first seats have coffees and arms within one of even, and
 * the orders balanced by themselves; no taster gets a second one of a coffee before one of each.
 *
 * @param radices coordinates of the serving orders.
 */
export function samePotControls(
  radices: readonly number[],
  shape: SamePotShape,
  random: RandomSource,
): SamePotControl[][] {
  const { seats, perTaster } = shape;
  const coffees = shuffle(random, range(shape.coffees));
  const orders = balancedGrid(radices, { seats, coffees: 1, columns: perTaster }, random);
  const arms = balancedGrid([2], { seats, coffees: 1, columns: perTaster }, random);
  return range(seats).map((seat) =>
    range(perTaster).map((at) => ({
      // One endless round of the coffees, dealt out seat after seat.
      coffee: pick(coffees, (seat * perTaster + at) % coffees.length),
      pair: choose(random, range(shape.pairs)) + 1,
      arm: cell(arms, seat, at) === 0 ? "X" : "Y",
      order: cell(orders, seat, at),
    })),
  );
}

function cell(grid: readonly number[][][], seat: number, column: number): number {
  return pick(pick(pick(grid, seat), 0), column);
}
