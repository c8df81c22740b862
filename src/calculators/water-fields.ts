import { z } from "zod";
import { ionNames } from "../water/ions.ts";
import { saltNames } from "../water/salts.ts";

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

/** Concentrations by ion, mg/L; unknown ions are refused. */
export const ions = z.strictObject({
  calcium: concentration("calcium"),
  magnesium: concentration("magnesium"),
  sodium: concentration("sodium"),
  potassium: concentration("potassium"),
  bicarbonate: concentration("bicarbonate"),
  chloride: concentration("chloride"),
  sulfate: concentration("sulfate"),
  citrate: concentration("citrate"),
});

export const salt = z.enum(saltNames, {
  error: `Give the salt with its hydrate, one of: ${saltNames.join(", ")}.`,
});

export const purity = above0("the purity", 1, "(a fraction, 1 = pure)");

export const temperature = z
  .number({ error: "Give the temperature as a number in °C." })
  .min(0, { error: "Give a temperature of liquid water, 0 °C or more." })
  .max(100, { error: "Give a temperature of liquid water, 100 °C or less." });

/** Concentrations in answers. */
export const ionsOut = z.partialRecord(z.enum(ionNames), z.number());

/** Cautions in answers: the same as sentences in `warnings`, and with code and source here. */
export const cautions = z.array(
  z.object({
    code: z.string(),
    severity: z.enum(["info", "caution", "stop"]),
    text: z.string(),
    source: z.string(),
  }),
);

function concentration(ion: string) {
  return from0(ion, 100_000, "mg/L").optional();
}
