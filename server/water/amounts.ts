import { fromMetric, type UnitSystem, unitSymbols } from "../../src/water/entry-units.ts";

/** Writes amounts that are kept in g, mL and °C in the units that a person chose. */
export interface Amounts {
  /** To `decimals` of a gram, or two more of an ounce. */
  mass(grams: number, decimals?: number): string;
  volume(millilitres: number, decimals?: number): string;
  temperature(celsius: number): string;
  /** What a fine scale shows: grams to the scale's step, ounces beside them where asked for. */
  salt(grams: number, stepGrams: number): string;
}

export function amountsIn(system: UnitSystem): Amounts {
  const symbols = unitSymbols[system];
  const finer = system === "us" ? 2 : 0;
  const write =
    (quantity: "mass" | "volume") =>
    (value: number, decimals = 1) =>
      `${fromMetric(value, quantity, system).toFixed(decimals + finer)} ${symbols[quantity]}`;
  const mass = write("mass");
  return {
    mass,
    volume: write("volume"),
    temperature: (celsius) =>
      `${fromMetric(celsius, "temperature", system).toFixed(0)} ${symbols.temperature}`,
    salt: (grams, stepGrams) => {
      const decimals = decimalsOf(stepGrams);
      const shown = `${grams.toFixed(decimals)} g`;
      return system === "us" ? `${shown} (${mass(grams, decimals)})` : shown;
    },
  };
}

/** Decimals that a scale's display has; three where the step says nothing. */
export function decimalsOf(stepGrams: number): number {
  if (stepGrams <= 0) return 3;
  return Math.min(4, Math.max(0, Math.ceil(-Math.log10(stepGrams) - 1e-9)));
}

/** A number with a typographic minus, and without one where it rounds to zero. */
export function signless(value: number, decimals: number): string {
  const text = Math.abs(value).toFixed(decimals);
  return value < 0 && Number(text) > 0 ? `−${text}` : text;
}

/** A number to three significant digits without an exponent. */
export function threeDigits(value: number): string {
  if (value === 0) return "0";
  const decimals = Math.max(0, 2 - Math.floor(Math.log10(Math.abs(value))));
  return value.toFixed(Math.min(decimals, 4));
}
