import { digitsApart } from "./codes.ts";
import type { SpareCode } from "./kit-records.ts";

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
