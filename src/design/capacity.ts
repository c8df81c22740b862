import { POT_LETTERS } from "./allocation.ts";
import { roundCapacity } from "./codes.ts";
import type { KitInput, KitRefusal, KitResult, PouringRound } from "./kit-records.ts";
import { cupsOfSet } from "./serving-orders.ts";

/** More coffees than one sitting could ever hold; the container labels reach for these. */
const MOST_COFFEES = 60;

/** More seats than any one room could hold. */
const MOST_SEATS = 20_000;

/** Why an input can't become a kit, as far as can be said before drawing; undefined when it can. */
export function refusalOf(input: KitInput): KitResult | undefined {
  const pairs = input.pairsPerCoffee + input.controls.sameTreatmentPairsPerCoffee;
  const mostPairs = Math.floor(POT_LETTERS.length / 2);
  const badCount = findBadCount(input);
  if (badCount !== undefined) return refused("bad-count", badCount);
  const repeated = findRepeated(input);
  if (repeated !== undefined) return refused("repeated-name", `${repeated} is listed twice`);
  if (pairs > mostPairs) {
    return refused(
      "too-many-pots",
      `${2 * pairs} pots of one coffee need more than the ${POT_LETTERS.length} letters that name pots; at most ${mostPairs} pairs, controls included, can be told apart`,
    );
  }
  if (input.coffees.length > MOST_COFFEES) {
    return refused("too-many-coffees", `${input.coffees.length} coffees; at most ${MOST_COFFEES}`);
  }
  if (input.seats > MOST_SEATS) {
    return refused("too-many-seats", `${input.seats} seats; at most ${MOST_SEATS}`);
  }
  return tooManyCups(input, pairs);
}

/** Refuses the first round that is over its capacity, with the numbers. */
export function roundOverCapacity(
  rounds: readonly Pick<PouringRound, "coffeeId" | "pair" | "capacity" | "used">[],
): KitResult | undefined {
  const over = rounds.find((round) => round.used > round.capacity);
  if (over === undefined) return undefined;
  return refused(
    "round-over-capacity",
    `coffee ${over.coffeeId}, pair ${over.pair}: ${over.used} cups and spares in one pouring round, which holds ${over.capacity}; serve fewer seats, replicates or spares, or split rounds or the panel`,
  );
}

/** Bounds that are known without drawing, so that an absurd size costs nothing. */
function tooManyCups(input: KitInput, pairs: number): KitResult | undefined {
  const cups = input.sets.map(cupsOfSet);
  const cupsPerPair = input.replicates * cups.reduce((sum, count) => sum + count, 0);
  const rounds = pairs * input.coffees.length;
  const together = input.roundsOverCapacity === "split" ? 1 : input.seats;
  const used = together * cupsPerPair + 2 * input.sparesPerPot;
  const [coffeeId = ""] = input.coffees;
  const over = roundOverCapacity([
    { coffeeId, pair: 1, capacity: capacityOf(input, rounds), used },
  ]);
  if (over !== undefined) return over;
  const ownCups = rounds * cupsPerPair + input.controls.samePot * (cups[0] ?? 0);
  const ownCodes = roundCapacity(rounds * 2 * input.sparesPerPot);
  return ownCups > ownCodes ? codesExhausted(ownCups) : undefined;
}

/** Most cups and own spares in one round: the codes beside all other rounds' spares, or fewer where the input says so. */
export function capacityOf(input: KitInput, rounds: number): number {
  const codes = Math.max(0, roundCapacity((rounds - 1) * 2 * input.sparesPerPot));
  return Math.min(codes, input.cupsPerRound ?? codes);
}

/** No code is left that is new both to a taster and within a round. */
export function codesExhausted(cupsPerTaster: number): KitResult {
  return refused(
    "codes-exhausted",
    `no codes are left that would be new to every taster (up to ${cupsPerTaster} cups each) and within a round; serve fewer seats, presentations or spares`,
  );
}

function refused(refusal: KitRefusal, message: string): KitResult {
  return { ok: false, refusal, message };
}

function findBadCount(input: KitInput): string | undefined {
  const { controls } = input;
  const counts: [string, number, number][] = [
    ["kinds of set", input.sets.length, 1],
    ["coffees", input.coffees.length, 1],
    ["pairs per coffee", input.pairsPerCoffee, 1],
    ["replicates", input.replicates, 1],
    ["same-pot controls", controls.samePot, 0],
    ["same-treatment pairs", controls.sameTreatmentPairsPerCoffee, 0],
    ["seats", input.seats, 1],
    ["brewers", input.brewers.length, 1],
    ["spare codes per pot", input.sparesPerPot, 0],
    ["cups per round", input.cupsPerRound ?? 1, 1],
  ];
  const bad = counts.find(([, count, least]) => !Number.isInteger(count) || count < least);
  return bad && `${bad[0]}: ${bad[1]} is not a whole number from ${bad[2]}`;
}

function findRepeated(input: KitInput): string | undefined {
  const lists = [input.coffees, input.brewers, input.sets.map((set) => set.kind)];
  for (const list of lists) {
    const repeated = list.find((item, at) => list.indexOf(item) !== at);
    if (repeated !== undefined) return repeated;
  }
  return undefined;
}
