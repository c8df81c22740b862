import { z } from "zod";

/** A number above zero up to a sensible most, with what to do when it is not. */
export function above0(what: string, most: number, unit: string) {
  return z
    .number({ error: `Give ${what} as a number${inUnit(unit)}.` })
    .positive({ error: `Give ${what} above 0${inUnit(unit)}.` })
    .max(most, { error: `Check ${what}: more than ${most}${inUnit(unit)} is not plausible here.` });
}

/** A number from zero up to a sensible most. */
export function from0(what: string, most: number, unit: string) {
  return z
    .number({ error: `Give ${what} as a number${inUnit(unit)}.` })
    .min(0, { error: `Give ${what} as 0${inUnit(unit)} or more.` })
    .max(most, { error: `Check ${what}: more than ${most}${inUnit(unit)} is not plausible here.` });
}

/** A label that people typed: not empty, and short enough to print. */
export function label(what: string) {
  return z
    .string({ error: `Give ${what} as text.` })
    .trim()
    .min(1, { error: `Give ${what}.` })
    .max(100, { error: `Shorten ${what} to 100 characters.` });
}

export const doseGrams = above0("the coffee dose", 10_000, "g");
export const beverageGrams = above0("the beverage's mass", 1_000_000, "g");
export const brewWaterGrams = above0("the brew water's mass", 1_000_000, "g");
export const tdsPercent = from0("a TDS reading", 30, "%");

function inUnit(unit: string): string {
  return unit === "" ? "" : ` ${unit}`;
}
