import type { IonName } from "./ions.ts";
import { ionFractions, type SaltName } from "./salts.ts";
import type { Weighing } from "./weighing.ts";

/** Weighed salts made up to a volume: a stock bottle or a batch of brew water. */
export interface Mixture {
  weighings: readonly (Weighing & { purity: number })[];
  millilitres: number;
}

/** How one cause moves a cup: the concentration's slope times the cause's standard uncertainty. */
export interface Effect {
  source: string;
  milligramsPerLitre: number;
}

/** mg/L of the ion in a mixture. */
export function strength(ion: IonName, { weighings, millilitres }: Mixture): number {
  const milligrams = weighings.map(
    ({ salt, grams, purity }) => 1000 * grams * purity * fraction(salt, ion),
  );
  return (1000 * sum(milligrams)) / millilitres;
}

/**
 * Weighing and volume errors of a mixture in mg/L of an ion, scaled by the share of the mixture that
 * arrives. Uncertainties are standard ones, of a weighing and of the volume made up to.
 */
export function mixtureEffects(
  ion: IonName,
  { name, mixture }: { name: string; mixture: Mixture },
  uncertainty: { grams: number; millilitres: number },
  share: number,
): Effect[] {
  const perGram = (1e6 * share) / mixture.millilitres;
  return [
    ...mixture.weighings.map(({ salt, purity }) => ({
      source: `${name}: weighing ${salt}`,
      milligramsPerLitre: perGram * purity * fraction(salt, ion) * uncertainty.grams,
    })),
    {
      source: `${name}: volume`,
      milligramsPerLitre:
        ((-strength(ion, mixture) * share) / mixture.millilitres) * uncertainty.millilitres,
    },
  ];
}

function fraction(salt: SaltName, ion: IonName): number {
  return ionFractions(salt)[ion] ?? 0;
}

function sum(values: readonly number[]): number {
  return values.reduce((total, value) => total + value, 0);
}
