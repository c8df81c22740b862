import { coordinate, range } from "./balance.ts";
import { balancedGrid } from "./balanced-grid.ts";
import type { KitInput } from "./kit-records.ts";
import { pick, type RandomSource, sample, shuffle } from "./random.ts";
import type { Arm } from "./serving-orders.ts";

/** A brew pair: its number within the coffee, and for a control the one arm that both pots hold. */
export interface BrewPair {
  pair: number;
  controlArm?: Arm;
}

/** A pot before the treatments are drawn. */
export interface AllocatedPot {
  coffeeId: string;
  pair: number;
  /** Which of the pair's pots this is; orders are drawn in these. */
  arm: Arm;
  /** Set in control pairs: the arm whose treatment both pots hold. */
  controlArm?: Arm;
  letter: string;
  waterLabel: string;
  brewerId: string;
  brewOrder: number;
}

/** Chance for what the pots need, a stream each. */
export interface PotStreams {
  pots: RandomSource;
  brewers: RandomSource;
}

/** Letters for pots: A and B name treatments; I, O and Q are misread. */
export const POT_LETTERS = [..."CDEFGHJKLMNPRSTUVWXYZ"];

/** Container labels: a letter and two digits. */
const WATER_LABELS = POT_LETTERS.flatMap((letter) => range(80).map((at) => `${letter}${at + 20}`));

/**
 * The brew pairs of each coffee, numbered so that a control's number tells nothing; control pairs
 * hold either arm equally often within one, which coffee which at random.
 */
export function brewPairs(input: KitInput, random: RandomSource): BrewPair[][] {
  const controls = input.controls.sameTreatmentPairsPerCoffee;
  const shape = { seats: 1, coffees: input.coffees.length, columns: controls };
  const [controlArms = []] = balancedGrid([2], shape, random);
  return controlArms.map((arms) => {
    const numbers = shuffle(random, range(input.pairsPerCoffee + controls));
    const pairs: BrewPair[] = numbers.map((number, at) => {
      const arm = arms[at - input.pairsPerCoffee];
      return {
        pair: number + 1,
        ...(arm === undefined ? {} : { controlArm: arm === 0 ? "X" : "Y" }),
      };
    });
    return pairs;
  });
}

/**
 * Gives every pot its letter, water container, brewer and turn. Within a coffee the treatments
 * swap brewers as evenly as the number of pairs allows, and so does who is brewed first; over the
 * coffees what is left over evens out. Which coffee gets which swap is random.
 *
 * @param coffeeSequence the coffees' indexes in brewing order.
 */
export function allocatePots(
  input: KitInput,
  pairs: readonly (readonly BrewPair[])[],
  coffeeSequence: readonly number[],
  streams: PotStreams,
): AllocatedPot[] {
  const labels = sample(streams.pots, WATER_LABELS, 2 * pairs.flat().length);
  const letters = pairs.map((own) => sample(streams.pots, POT_LETTERS, 2 * own.length));
  const turns = brewerTurns(input, pairs, streams.brewers);
  return coffeeSequence
    .flatMap((coffee) => {
      const inOrder = pick(pairs, coffee).toSorted((one, other) => one.pair - other.pair);
      return inOrder
        .flatMap((pair) =>
          pick(pick(turns, coffee), pair.pair - 1).map((turn) => ({ ...pair, ...turn })),
        )
        .map((pot, at) => ({
          coffeeId: pick(input.coffees, coffee),
          ...pot,
          letter: pick(pick(letters, coffee), at),
        }));
    })
    .map((pot, at) => ({ ...pot, waterLabel: pick(labels, at), brewOrder: at + 1 }));
}

/** One pot's place at the brewers: which arm, on which brewer; the first of two is brewed first. */
interface Turn {
  arm: Arm;
  brewerId: string;
}

/** For each coffee and pair number its two turns; tests and controls are swapped each by themselves. */
function brewerTurns(
  input: KitInput,
  pairs: readonly (readonly BrewPair[])[],
  random: RandomSource,
): Turn[][][] {
  const couples = shuffle(random, brewerCouples(input.brewers));
  const order = shuffle(random, range(pairs.length));
  const turns: Turn[][][] = pairs.map(() => []);
  for (const [at, couple] of couples.entries()) {
    const coffees = order.filter((_, place) => place % couples.length === at);
    for (const isControl of [false, true]) {
      const concerned = coffees.map((coffee) =>
        pick(pairs, coffee).filter((pair) => (pair.controlArm !== undefined) === isControl),
      );
      const shape = { seats: 1, coffees: coffees.length, columns: concerned[0]?.length ?? 0 };
      const [swaps = []] = balancedGrid(SWAPS, shape, random);
      coffees.forEach((coffee, row) => {
        pick(concerned, row).forEach((pair, column) => {
          const swap = pick(pick(swaps, row), column);
          pick(turns, coffee)[pair.pair - 1] = pairTurns(couple, swap);
        });
      });
    }
  }
  return turns;
}

/** A swap's coordinates: which brewer gets arm X, and which arm is brewed first. */
const SWAPS = [2, 2];

function pairTurns(couple: readonly [string, string], swap: number): Turn[] {
  const [one, other] = coordinate(SWAPS, swap, 0) === 0 ? couple : [couple[1], couple[0]];
  const turns: Turn[] = [
    { arm: "X", brewerId: one },
    { arm: "Y", brewerId: other },
  ];
  return coordinate(SWAPS, swap, 1) === 0 ? turns : turns.toReversed();
}

/** Every two brewers; a lone brewer makes both pots of a pair. */
function brewerCouples(brewers: readonly string[]): [string, string][] {
  const couples = brewers.flatMap((one, at) =>
    brewers.slice(at + 1).map((other): [string, string] => [one, other]),
  );
  const lone = pick(brewers, 0);
  return couples.length === 0 ? [[lone, lone]] : couples;
}
