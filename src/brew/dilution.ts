/**
 * Strength after `added` of a liquid without coffee joins a beverage: TDS × B/(B + v). Strength in
 * any unit, both amounts in the same one. With a negative amount it gives what evaporation leaves.
 */
export function dilutedStrength(strength: number, beverage: number, added: number): number {
  return (strength * beverage) / (beverage + added);
}

/** Strength before the addition, from the strength after it: undoes {@link dilutedStrength}. */
export function undilutedStrength(strength: number, beverage: number, added: number): number {
  return (strength * (beverage + added)) / beverage;
}

/**
 * Temperature (°C) of a beverage after a dose at another temperature, by mass-weighted mean: both
 * are taken as water, and the cup's own heat is left out.
 */
export function temperatureAfterDose(
  beverage: { grams: number; temperature: number },
  dose: { grams: number; temperature: number },
): number {
  const heat = beverage.grams * beverage.temperature + dose.grams * dose.temperature;
  return heat / (beverage.grams + dose.grams);
}
