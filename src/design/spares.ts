import { digitsApart, roundCapacity } from "./codes.ts";
import type { KitInput, SpareCode } from "./kit-records.ts";
import { cupsOfSet, isLopsided } from "./serving-orders.ts";

const LEAST_SPARES = 3;
const SPARE_SHARE = 0.1;

/**
 * How many codes to hold ready for each pot: a tenth of the cups poured from it, at least three and
 * a whole tray of one pot, for spilled cups and late trays. Fewer than a tenth where the three-digit
 * codes would run out, since no spare occurs anywhere else in the session. Common practice, no source.
 */
export function sparesPerPot(input: Unspared): number {
  const { perSeat, controls, rounds } = cupCounts(input);
  // Hidden controls may all fall into one round.
  const fullestRound = input.seats * (perSeat + controls);
  const mostPerPot = Math.floor((roundCapacity(0) - fullestRound) / (2 * rounds));
  const wanted = Math.ceil(SPARE_SHARE * cupsPerPot(input));
  return Math.max(LEAST_SPARES, samePotTray(input), Math.min(wanted, mostPerPot));
}

/** Cups of a same-pot control: with fewer spares it couldn't be poured anew, and would show as one. */
function samePotTray({ sets: [first], controls }: Unspared): number {
  return first === undefined || controls.samePot === 0 ? 0 : cupsOfSet(first);
}

type Unspared = Omit<KitInput, "sparesPerPot">;

/** Cups that a pot fills on average, without spares. */
export function cupsPerPot(input: Unspared): number {
  const { perSeat, controls, rounds } = cupCounts(input);
  return (input.seats * (perSeat + controls / rounds)) / 2;
}

/**
 * The same for the fuller pot of a pair: of a constant reference's three cups, and of a 3-AFC's, two
 * come from one pot.
 */
export function cupsOfFullerPot(input: Unspared): number {
  const lopsided = input.sets.filter(isLopsided);
  return cupsPerPot(input) + (input.seats * input.replicates * lopsided.length) / 2;
}

/** Cups that a seat gets in a round, same-pot controls of a whole session, and rounds of a session. */
function cupCounts({ sets, replicates, coffees, pairsPerCoffee, controls }: Unspared) {
  const sizes = sets.map(cupsOfSet);
  return {
    perSeat: replicates * sizes.reduce((sum, cups) => sum + cups, 0),
    controls: controls.samePot * (sizes[0] ?? 0),
    rounds: coffees.length * (pairsPerCoffee + controls.sameTreatmentPairsPerCoffee),
  };
}

/**
 * The spare code for a cup that must be poured anew from its own pot: unused, and at least two
 * digits from the other codes on the tray. Undefined when none of the pot's spares will do; the
 * presentation is then void or waits for another.
 *
 * @param trayCodes the codes that stay on the tray.
 * @param used spare codes already given out, to anyone.
 */
export function spareFor(
  pot: Pick<SpareCode, "coffeeId" | "potLetter">,
  spares: readonly SpareCode[],
  trayCodes: readonly string[],
  used: ReadonlySet<string>,
): string | undefined {
  const ofPot = spares.filter(
    (spare) => spare.coffeeId === pot.coffeeId && spare.potLetter === pot.potLetter,
  );
  return ofPot.find(
    ({ code }) => !used.has(code) && trayCodes.every((other) => digitsApart(code, other) >= 2),
  )?.code;
}
