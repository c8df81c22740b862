/**
 * Holm's step-down adjusted p-values, in the order given (Holm 1979, Scand. J. Statist. 6, 65): the
 * chance of any false claim over the family stays at alpha, whatever the dependence.
 */
export function holm(pValues: readonly number[]): number[] {
  return stepDown(pValues, (p, rank) => p * (pValues.length - rank + 1));
}

/** Hochberg's step-up adjusted p-values (Hochberg 1988, Biometrika 75, 800): independent tests. */
export function hochberg(pValues: readonly number[]): number[] {
  return stepUp(pValues, (p, rank) => p * (pValues.length - rank + 1));
}

/**
 * Benjamini & Hochberg's adjusted p-values (1995, J. R. Statist. Soc. B 57, 289): the expected share
 * of false claims among claims; for exploration, not for confirmation.
 */
export function benjaminiHochberg(pValues: readonly number[]): number[] {
  return stepUp(pValues, (p, rank) => (p * pValues.length) / rank);
}

/** From the smallest p upwards, none may be smaller than the one before. */
function stepDown(pValues: readonly number[], adjust: (p: number, rank: number) => number) {
  const order = ascendingOrder(pValues);
  const adjusted = new Array<number>(pValues.length).fill(1);
  let largest = 0;
  for (const [position, index] of order.entries()) {
    largest = Math.max(largest, adjust(pValues[index] ?? 1, position + 1));
    adjusted[index] = Math.min(1, largest);
  }
  return adjusted;
}

/** From the largest p downwards, none may be larger than the one before. */
function stepUp(pValues: readonly number[], adjust: (p: number, rank: number) => number) {
  const order = ascendingOrder(pValues);
  const adjusted = new Array<number>(pValues.length).fill(1);
  let smallest = 1;
  for (const [position, index] of [...order.entries()].reverse()) {
    smallest = Math.min(smallest, adjust(pValues[index] ?? 1, position + 1));
    adjusted[index] = smallest;
  }
  return adjusted;
}

function ascendingOrder(pValues: readonly number[]): number[] {
  return pValues.map((_, index) => index).sort((a, b) => (pValues[a] ?? 1) - (pValues[b] ?? 1));
}
