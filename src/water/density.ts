/**
 * Density of air-free water in kg/m³ (equally g/L) at a temperature in °C and one atmosphere, 0 to
 * 150 °C.
 * Source: Kell GS, Density, thermal expansivity, and compressibility of liquid water from 0 to
 * 150 °C, J Chem Eng Data 1975;20:97–105.
 */
export function waterDensity(temperature: number): number {
  const coefficients = [
    999.83952, 16.945176, -7.9870401e-3, -46.170461e-6, 105.56302e-9, -280.54253e-12,
  ];
  const numerator = coefficients.reduceRight((sum, factor) => sum * temperature + factor, 0);
  return numerator / (1 + 16.87985e-3 * temperature);
}

/** Millilitres that so many grams of water fill at a temperature in °C. */
export function millilitresOfWater(grams: number, temperature: number): number {
  return (1000 * grams) / waterDensity(temperature);
}
