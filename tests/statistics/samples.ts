import fc from "fast-check";

/** Scores as panels give them: on a grid of halves, tenths or whole points. */
export const differences = fc
  .tuple(
    fc.constantFrom(1, 2, 10),
    fc.array(fc.integer({ min: -40, max: 40 }), { minLength: 2, maxLength: 14 }),
  )
  .map(([parts, units]) => units.map((unit) => unit / parts));

/** The same, with some spread, so that a t test exists. */
export const spreadDifferences = differences.filter((values) => new Set(values).size > 1);

export const confidence = fc.double({ min: 0.5, max: 0.999, noNaN: true });

/** The list in another order. */
export function reordered<T>(list: readonly T[], keys: readonly number[]): T[] {
  return list
    .map((item, i) => ({ item, key: keys[i % Math.max(1, keys.length)] ?? 0, i }))
    .sort((a, b) => a.key - b.key || b.i - a.i)
    .map(({ item }) => item);
}

export const orderKeys = fc.array(fc.integer(), { minLength: 5, maxLength: 14 });
