import type { BrewPair } from "./allocation.ts";
import { range } from "./balance.ts";
import { balancedGrid } from "./balanced-grid.ts";
import { williamsOrders } from "./coffee-order.ts";
import { keepApart } from "./keep-apart.ts";
import type { KitInput, SetRequest } from "./kit-records.ts";
import { pick, type RandomSource } from "./random.ts";
import { samePotControls } from "./same-pot.ts";
import { type Arm, familyOf } from "./serving-orders.ts";

/** A presentation in arms, before codes, pots and treatments. */
export interface Serving {
  set: SetRequest;
  /** Index of the coffee. */
  coffee: number;
  pair: number;
  replicate: number;
  control?: "same-pot" | "same-treatment";
  /** In a same-pot control the pot that fills every cup. */
  onlyArm?: Arm;
  arms: readonly Arm[];
}

/** Chance for what a taster is served, a stream each. */
export interface ServingStreams {
  orders: RandomSource;
  controls: RandomSource;
  coffeeOrder: RandomSource;
}

/**
 * What every seat is served, in serving order. Tests, same-treatment and same-pot controls are
 * balanced each by themselves. A coffee's presentations come together, mixed at random with two of
 * the same pair and kind apart where possible; a same-pot control takes part in the mixing like one
 * more replicate, so that its place tells nothing.
 *
 * @param coffeeSequence the common order of the coffees, used in rounds.
 */
export function servings(
  input: KitInput,
  pairs: readonly (readonly BrewPair[])[],
  coffeeSequence: readonly number[],
  streams: ServingStreams,
): Serving[][] {
  const bySeat: Serving[][] = range(input.seats).map(() => []);
  for (const set of input.sets) {
    addPairServings(bySeat, { input, pairs, set, isControl: false }, streams.orders);
    addPairServings(bySeat, { input, pairs, set, isControl: true }, streams.controls);
  }
  addSamePot(bySeat, input, streams.controls);
  const ownOrders =
    input.coffeeOrder === "balanced"
      ? williamsOrders(input.coffees.length, input.seats, streams.coffeeOrder)
      : [];
  return bySeat.map((served, seat) =>
    (ownOrders[seat] ?? coffeeSequence).flatMap((coffee) => {
      const own = served.filter((serving) => serving.coffee === coffee);
      return inServingOrder(own, input.coffeeOrder, streams.coffeeOrder);
    }),
  );
}

interface PairServings {
  input: KitInput;
  pairs: readonly (readonly BrewPair[])[];
  set: SetRequest;
  isControl: boolean;
}

function addPairServings(bySeat: Serving[][], of: PairServings, random: RandomSource): void {
  const { input, set, isControl } = of;
  const family = familyOf(set);
  const concerned = of.pairs.map((pairs) =>
    pairs.filter((pair) => (pair.controlArm !== undefined) === isControl),
  );
  const columns = (concerned[0]?.length ?? 0) * input.replicates;
  const shape = { seats: input.seats, coffees: input.coffees.length, columns };
  balancedGrid(family.radices, shape, random).forEach((row, seat) => {
    row.forEach((orders, coffee) => {
      orders.forEach((order, column) => {
        pick(bySeat, seat).push({
          set,
          coffee,
          pair: pick(pick(concerned, coffee), Math.floor(column / input.replicates)).pair,
          replicate: (column % input.replicates) + 1,
          ...(isControl ? { control: "same-treatment" } : {}),
          arms: pick(family.orders, order),
        });
      });
    });
  });
}

function addSamePot(bySeat: Serving[][], input: KitInput, random: RandomSource): void {
  const set = pick(input.sets, 0);
  const family = familyOf(set);
  const shape = {
    seats: input.seats,
    coffees: input.coffees.length,
    pairs: input.pairsPerCoffee + input.controls.sameTreatmentPairsPerCoffee,
    perTaster: input.controls.samePot,
  };
  samePotControls(family.radices, shape, random).forEach((controls, seat) => {
    controls.forEach(({ coffee, pair, arm, order }, at) => {
      const arms = pick(family.orders, order);
      const replicate = at + 1;
      pick(bySeat, seat).push({
        set,
        coffee,
        pair,
        replicate,
        control: "same-pot",
        onlyArm: arm,
        arms,
      });
    });
  });
}

function inServingOrder(
  own: readonly Serving[],
  coffeeOrder: KitInput["coffeeOrder"],
  random: RandomSource,
): Serving[] {
  if (coffeeOrder === "balanced") return keepApart(own, sortOf, random);
  const pairs = [...new Set(own.map(({ pair }) => pair))].toSorted((one, other) => one - other);
  return pairs.flatMap((pair) =>
    keepApart(
      own.filter((serving) => serving.pair === pair),
      sortOf,
      random,
    ),
  );
}

function sortOf({ pair, set }: Serving): string {
  return `${pair}/${set.kind}`;
}
