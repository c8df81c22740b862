/** How a person writes and reads amounts; everything is computed and kept in g, mL and °C. */
export type UnitSystem = "metric" | "us";

/** What kind of amount a number is. */
export type Quantity = "mass" | "volume" | "temperature";

/** Unit symbols by system and quantity. */
export const unitSymbols: Readonly<Record<UnitSystem, Readonly<Record<Quantity, string>>>> = {
  metric: { mass: "g", volume: "mL", temperature: "°C" },
  us: { mass: "oz", volume: "fl oz", temperature: "°F" },
};

/** g in an avoirdupois ounce and mL in a US fluid ounce, both exact: NIST Handbook 44, Appendix C. */
const gramsPerOunce = 28.349523125;
const millilitresPerFluidOunce = 29.5735295625;

/** An amount as written in a system, in g, mL or °C. */
export function toMetric(value: number, quantity: Quantity, system: UnitSystem): number {
  if (system === "metric") return value;
  if (quantity === "mass") return value * gramsPerOunce;
  if (quantity === "volume") return value * millilitresPerFluidOunce;
  return ((value - 32) * 5) / 9;
}

/** An amount in g, mL or °C as a system writes it. */
export function fromMetric(value: number, quantity: Quantity, system: UnitSystem): number {
  if (system === "metric") return value;
  if (quantity === "mass") return value / gramsPerOunce;
  if (quantity === "volume") return value / millilitresPerFluidOunce;
  return (value * 9) / 5 + 32;
}
