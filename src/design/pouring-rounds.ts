import type { BrewPair } from "./allocation.ts";
import { range } from "./balance.ts";
import { capacityOf } from "./capacity.ts";
import type { KitInput, PouringRound } from "./kit-records.ts";
import { pick } from "./random.ts";
import type { Serving } from "./servings.ts";

/** A pouring round with the index of its coffee. */
export interface IndexedRound extends PouringRound {
  coffee: number;
}

/**
 * One pouring round per pair, in pouring order, with what it must hold (cups and its own spares) and
 * what it can.
 */
export function pouringRounds(
  input: KitInput,
  pairs: readonly (readonly BrewPair[])[],
  sequence: readonly number[],
  served: readonly (readonly Serving[])[],
): IndexedRound[] {
  const cups = cupsByRound(served);
  const spares = 2 * input.sparesPerPot;
  const capacity = capacityOf(input, pairs.flat().length);
  return sequence.flatMap((coffee) =>
    range(pick(pairs, coffee).length).map((at) => {
      const pair = at + 1;
      const used = (cups.get(roundName(coffee, pair)) ?? 0) + spares;
      return { coffee, coffeeId: pick(input.coffees, coffee), pair, capacity, used };
    }),
  );
}

/** A key for the round of a pair of a coffee given by index. */
export function roundName(coffee: number, pair: number): string {
  return `${coffee}/${pair}`;
}

function cupsByRound(served: readonly (readonly Serving[])[]): Map<string, number> {
  const cups = new Map<string, number>();
  for (const { coffee, pair, arms } of served.flat()) {
    const round = roundName(coffee, pair);
    cups.set(round, (cups.get(round) ?? 0) + arms.length);
  }
  return cups;
}
