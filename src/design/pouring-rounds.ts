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
 * The pouring rounds in pouring order, with what each must hold (cups and its pots' spares) and what
 * it can: one for each pair, or where the input allows it as many sub-rounds, over seats in a row,
 * as the cups need.
 */
export function pouringRounds(
  input: KitInput,
  pairs: readonly (readonly BrewPair[])[],
  sequence: readonly number[],
  served: readonly (readonly Serving[])[],
): IndexedRound[] {
  const capacity = capacityOf(input, pairs.flat().length);
  const cups = cupsByPair(served);
  return sequence.flatMap((coffee) =>
    range(pick(pairs, coffee).length).flatMap((at) => {
      const place = { coffee, coffeeId: pick(input.coffees, coffee), pair: at + 1, capacity };
      const bySeat = cups.get(pairName(coffee, place.pair)) ?? [];
      return subRounds(input, bySeat, capacity).map((part, number) => ({
        ...place,
        part: number + 1,
        ...part,
      }));
    }),
  );
}

/** A name for a pair of a coffee given by index. */
export function pairName(coffee: number, pair: number): string {
  return `${coffee}/${pair}`;
}

/** How many cups each seat gets of each pair. */
function cupsByPair(served: readonly (readonly Serving[])[]): Map<string, number[]> {
  const cups = new Map<string, number[]>();
  for (const [seat, own] of served.entries()) {
    for (const { coffee, pair, arms } of own) {
      const name = pairName(coffee, pair);
      const bySeat = cups.get(name) ?? new Array<number>(served.length).fill(0);
      bySeat[seat] = (bySeat[seat] ?? 0) + arms.length;
      cups.set(name, bySeat);
    }
  }
  return cups;
}

type SubRound = Pick<PouringRound, "firstSeat" | "lastSeat" | "used">;

/** The fewest sub-rounds of near equal size that all fit; a single one where none may be split. */
function subRounds(input: KitInput, bySeat: readonly number[], capacity: number): SubRound[] {
  const spares = 2 * input.sparesPerPot;
  const most = input.roundsOverCapacity === "split" ? bySeat.length : 1;
  for (let parts = 1; parts < most; parts += 1) {
    const split = splitSeats(bySeat, parts, spares);
    if (split.every((part) => part.used <= capacity)) return split;
  }
  return splitSeats(bySeat, most, spares);
}

/** Seats in a row, a new part whenever the cups so far reach the next equal share. */
function splitSeats(bySeat: readonly number[], parts: number, spares: number): SubRound[] {
  const total = bySeat.reduce((sum, cups) => sum + cups, 0);
  const split: SubRound[] = [];
  let poured = 0;
  for (const [seat, cups] of bySeat.entries()) {
    const last = split.at(-1);
    if (last === undefined || poured * parts >= split.length * total) {
      split.push({ firstSeat: seat + 1, lastSeat: seat + 1, used: cups + spares });
    } else {
      last.lastSeat = seat + 1;
      last.used += cups;
    }
    poured += cups;
  }
  return split;
}
