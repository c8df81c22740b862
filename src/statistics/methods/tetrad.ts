import { normalDensity, normalLowerTail } from "../distributions.ts";
import type { Method } from "./method.ts";
import { inverse, normalMean } from "./psychometric.ts";

/** Unspecified tetrad: four cups, two of each; make two groups of two. */
export const tetrad: Method = {
  name: "tetrad",
  title: "Tetrad",
  guessing: 1 / 3,
  proportionCorrect,
  dPrime: inverse(proportionCorrect, slope),
  sequences: ["AABB", "BBAA", "ABAB", "BABA", "ABBA", "BAAB"],
  referenceFirst: false,
  instruction:
    "These four cups are two pairs. Taste from left to right, then make two groups of two that are alike.",
};

/**
 * pc = 1 − 2 ∫ φ(z) [2 Φ(z) Φ(z − d′) − Φ(z − d′)²] dz.
 * Source: Ennis, Ennis, Palen & Lampe (2014); Rousseau & Ennis (2013). Holds for the instruction "make two groups".
 */
function proportionCorrect(dPrime: number): number {
  const miss = normalMean((z) => {
    const other = normalLowerTail(z - dPrime);
    return other * (2 * normalLowerTail(z) - other);
  });
  return 1 - 2 * Math.max(0, miss);
}

/** The derivative of the integral above, in closed form. */
function slope(dPrime: number): number {
  const lean = 2 * normalLowerTail(dPrime / Math.sqrt(6)) - 1;
  return 2 * Math.SQRT2 * normalDensity(dPrime / Math.SQRT2) * lean;
}
