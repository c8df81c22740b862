import { type AllocatedPot, allocatePots, brewPairs } from "./allocation.ts";
import { range } from "./balance.ts";
import { codesExhausted, refusalOf, roundOverCapacity } from "./capacity.ts";
import { assignCodes, type CodeRequest } from "./codes.ts";
import type {
  KitInput,
  KitResult,
  Pot,
  PouringRound,
  Seat,
  SpareCode,
  Treatment,
} from "./kit-records.ts";
import { type IndexedRound, pairName, pouringRounds } from "./pouring-rounds.ts";
import { type PairPots, presentationOf } from "./presentation.ts";
import { below, pick, type RandomSource, shuffle } from "./random.ts";
import type { Arm } from "./serving-orders.ts";
import { type Serving, servings } from "./servings.ts";

export type * from "./kit-records.ts";

/**
 * Draws everything that a session is served with: pots, every seat's presentations with their codes,
 * spare codes and pouring rounds. Same input and streams, same kit.
 *
 * Orders are drawn between two nameless arms; one throw of the stream `treatments` says which arm is
 * A. So nothing that a taster gets (codes, positions, ordinals) can depend on the treatments.
 * What can't be served is refused, with the numbers.
 *
 * @param streams gives the independent stream of a name, from its start: `orders`, `treatments`,
 * `pots`, `brewers`, `codes`, `coffee-order`, `controls`.
 */
export function makeKit(input: KitInput, streams: (name: string) => RandomSource): KitResult {
  const refusal = refusalOf(input);
  if (refusal !== undefined) return refusal;
  const controls = streams("controls");
  const coffeeOrder = streams("coffee-order");
  const pairs = brewPairs(input, controls);
  const sequence = shuffle(coffeeOrder, range(input.coffees.length));
  const potStreams = { pots: streams("pots"), brewers: streams("brewers") };
  const allocated = allocatePots(input, pairs, sequence, potStreams);
  const pots = treated(allocated, below(streams("treatments"), 2) === 0 ? "A" : "B");
  const servingStreams = { orders: streams("orders"), controls, coffeeOrder };
  const served = servings(input, pairs, sequence, servingStreams);
  const rounds = pouringRounds(input, pairs, sequence, served);
  return coded(input, { pots, served, rounds }, streams("codes"));
}

/** Says which treatment each pot holds, once it is drawn which one arm X is. */
function treated(allocated: readonly AllocatedPot[], treatmentOfX: Treatment): PotInPair[] {
  const treatments = { X: treatmentOfX, Y: other(treatmentOfX) };
  return allocated.map(({ arm, controlArm, ...pot }) => ({
    arm,
    pot: {
      ...pot,
      treatment: treatments[controlArm ?? arm],
      ...(controlArm === undefined ? {} : { controlPair: true }),
    },
  }));
}

interface PotInPair {
  arm: Arm;
  pot: Pot;
}

function other(treatment: Treatment): Treatment {
  return treatment === "A" ? "B" : "A";
}

interface Uncoded {
  pots: readonly PotInPair[];
  served: readonly (readonly Serving[])[];
  rounds: readonly IndexedRound[];
}

function coded(input: KitInput, drawn: Uncoded, random: RandomSource): KitResult {
  const { pots, rounds } = drawn;
  const over = roundOverCapacity(rounds);
  if (over !== undefined) return over;
  const codes = assignCodes(codeRequest(input, drawn), random);
  if (codes === undefined) return codesExhausted(mostCups(drawn));
  return {
    ok: true,
    kit: {
      pots: pots.map(({ pot }) => pot),
      seats: seatsOf(drawn, codes.trays),
      spares: rounds.flatMap((round, at) => spareCodes(drawn, round, pick(codes.spares, at))),
      rounds: rounds.map(({ coffee: _, ...round }) => round),
    },
  };
}

function codeRequest(input: KitInput, { served, rounds }: Uncoded): CodeRequest {
  const places = new Map<string, number[]>();
  for (const [index, { coffee, pair }] of rounds.entries()) {
    const name = pairName(coffee, pair);
    places.set(name, [...(places.get(name) ?? []), index]);
  }
  const trays = served.flatMap((own, at) =>
    own.map(({ coffee, pair, arms }) => {
      const parts = places.get(pairName(coffee, pair)) ?? [];
      const round = parts.find((index) => pick(rounds, index).lastSeat > at) ?? -1;
      return { seat: at + 1, round, cups: arms.length };
    }),
  );
  const spares = rounds.map(({ part }) => (part === 1 ? 2 * input.sparesPerPot : 0));
  return { trays, spares };
}

function mostCups({ served }: Uncoded): number {
  return Math.max(...served.map((own) => own.flatMap(({ arms }) => arms).length));
}

function seatsOf(drawn: Uncoded, trays: readonly string[][]): Seat[] {
  const pairs = new Map(
    drawn.rounds.map((round) => [pairName(round.coffee, round.pair), pairPots(drawn, round)]),
  );
  let tray = 0;
  return drawn.served.map((own, at) => ({
    seat: at + 1,
    presentations: own.map((serving, place) => {
      const pots = pairs.get(pairName(serving.coffee, serving.pair));
      if (pots === undefined) throw new Error("makeKit: a serving without pots");
      tray += 1;
      return presentationOf(serving, place + 1, pick(trays, tray - 1), pots);
    }),
  }));
}

function pairPots({ pots }: Uncoded, { coffeeId, pair }: PouringRound): PairPots {
  const own = pots.filter(({ pot }) => pot.coffeeId === coffeeId && pot.pair === pair);
  const [one, two] = [pick(own, 0), pick(own, 1)];
  return one.arm === "X" ? { X: one.pot, Y: two.pot } : { X: two.pot, Y: one.pot };
}

/** A pair's spares, half for each of its pots; by letter, since arms must not show in any list. */
function spareCodes(drawn: Uncoded, round: PouringRound, codes: readonly string[]): SpareCode[] {
  const { X, Y } = pairPots(drawn, round);
  const letters = [X.letter, Y.letter].toSorted();
  return codes.map((code, at) => ({
    coffeeId: round.coffeeId,
    pair: round.pair,
    potLetter: pick(letters, at < codes.length / 2 ? 0 : 1),
    code,
  }));
}
