import { normalDensity, normalLowerTail } from "../distributions.ts";
import type { Method } from "./method.ts";
import { halfNormalMean, inverse } from "./psychometric.ts";

/** ISO 4120: three cups, two alike; which is the odd one? */
export const triangle: Method = {
  name: "triangle",
  title: "Triangle",
  guessing: 1 / 3,
  proportionCorrect,
  dPrime: inverse(proportionCorrect, slope),
  sequences: ["AAB", "ABA", "BAA", "ABB", "BAB", "BBA"],
  referenceFirst: false,
  instruction:
    "Two of these three cups are the same. Taste from left to right. Which one is different?",
};

/**
 * pc = 2 ∫₀^∞ [Φ(−z√3 + d′√(2/3)) + Φ(−z√3 − d′√(2/3))] φ(z) dz.
 * Source: Ura (1960); Ennis (1993), The power of sensory discrimination methods.
 */
function proportionCorrect(dPrime: number): number {
  const shift = dPrime * Math.sqrt(2 / 3);
  const correct = halfNormalMean((z) => {
    const spread = -z * Math.sqrt(3);
    return normalLowerTail(spread + shift) + normalLowerTail(spread - shift);
  });
  return Math.min(1, correct);
}

/** The derivative of the integral above, in closed form. */
function slope(dPrime: number): number {
  const lean = 2 * normalLowerTail(dPrime / Math.SQRT2) - 1;
  return Math.sqrt(2 / 3) * normalDensity(dPrime / Math.sqrt(6)) * lean;
}
