/**
 * Abridged standard atomic weights, g/mol.
 * Source: Prohaska et al., Standard atomic weights of the elements 2021 (IUPAC Technical Report),
 * Pure Appl Chem 2022;94(5):573–600.
 */
export const atomicWeights = {
  H: 1.008,
  C: 12.011,
  N: 14.007,
  O: 15.999,
  Na: 22.99,
  Mg: 24.305,
  S: 32.06,
  Cl: 35.45,
  K: 39.098,
  Ca: 40.078,
} as const;

export type Element = keyof typeof atomicWeights;
export type Composition = readonly (readonly [Element, number])[];

/** Formula mass in g/mol of so many atoms of each element. */
export function formulaMass(composition: Composition): number {
  return composition.reduce((sum, [element, count]) => sum + count * atomicWeights[element], 0);
}

export const waterMass = formulaMass([
  ["H", 2],
  ["O", 1],
]);

/** g/mol of CaCO3, the common currency of hardness and alkalinity. */
export const calciumCarbonateMass = formulaMass([
  ["Ca", 1],
  ["C", 1],
  ["O", 3],
]);
