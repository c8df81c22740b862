/**
 * log10 of equilibrium constants at an absolute temperature: a + bT + c/T + d·log10 T + e/T².
 * Source: Plummer, Busenberg, Geochim Cosmochim Acta 1982;46:1011–1040 (carbonates), and the file
 * phreeqc.dat of Parkhurst, Appelo, PHREEQC version 3, USGS Techniques and Methods 6-A43 (2013).
 */
const analytic = {
  /** CO2 + H2O = HCO3⁻ + H⁺ */
  firstDissociation: [-356.3094, -0.06091964, 21834.37, 126.8339, -1684915],
  /** HCO3⁻ = CO3²⁻ + H⁺ */
  secondDissociation: [-107.8871, -0.03252849, 5151.79, 38.92561, -563713.9],
  /** CO2 (gas) = CO2 (dissolved) */
  henry: [108.3865, 0.01985076, -6919.53, -40.45154, 669365],
  water: [-283.971, -0.05069842, 13323, 102.24447, -1119669],
  calcite: [-171.9065, -0.077993, 2839.319, 71.595, 0],
  gypsum: [68.2401, 0, -3221.51, -25.0627, 0],
  calciumBicarbonate: [1209.12, 0.31294, -34765.05, -478.782, 0],
  calciumCarbonate: [-1228.732, -0.299444, 35512.75, 485.818, 0],
  magnesiumBicarbonate: [-59.215, 0, 2537.455, 20.92298, 0],
  magnesiumCarbonate: [0.991, 0.00667, 0, 0, 0],
  calciumSulfate: vanTHoff(2.25, 1.325),
  magnesiumSulfate: vanTHoff(2.37, 4.55),
  sodiumSulfate: vanTHoff(0.7, 1.12),
  potassiumSulfate: vanTHoff(0.85, 2.25),
} as const satisfies Record<string, readonly [number, number, number, number, number]>;

export type Equilibrium = keyof typeof analytic;

/** log10 of an equilibrium constant at a temperature in °C (0 to about 100). */
export function logConstant(equilibrium: Equilibrium, temperature: number): number {
  const kelvin = temperature + 273.15;
  const [a, b, c, d, e] = analytic[equilibrium];
  return a + b * kelvin + c / kelvin + d * Math.log10(kelvin) + e / kelvin ** 2;
}

/** The constant itself. */
export function constant(equilibrium: Equilibrium, temperature: number): number {
  return 10 ** logConstant(equilibrium, temperature);
}

/** Coefficients of a constant known at 25 °C (log10) with an enthalpy of reaction in kcal/mol. */
function vanTHoff(log25: number, enthalpy: number): [number, number, number, number, number] {
  const slope = (1000 * enthalpy) / (1.987 * Math.LN10);
  return [log25 + slope / 298.15, 0, -slope, 0, 0];
}
