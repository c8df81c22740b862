import { normalDensity, normalLowerTail } from "../distributions.ts";
import type { Method } from "./method.ts";
import { inverse, normalMean } from "./psychometric.ts";

/** 3-AFC: three cups, two alike; which has the most of a named attribute? */
export const threeAfc: Method = {
  name: "three-afc",
  title: "3-AFC",
  guessing: 1 / 3,
  proportionCorrect,
  dPrime: inverse(proportionCorrect, slope),
  // B is the treatment expected to have more; swap the letters if it is A.
  sequences: ["AAB", "ABA", "BAA"],
  referenceFirst: false,
  instruction: "Taste from left to right. Which of these three cups has the most of the attribute?",
};

/** pc = ∫ φ(z − d′) Φ(z)² dz. Source: Green & Swets (1966); Hacker & Ratcliff (1979). */
function proportionCorrect(dPrime: number): number {
  return Math.min(
    1,
    normalMean((z) => normalLowerTail(z + dPrime) ** 2),
  );
}

/** The derivative of the integral above, in closed form. */
function slope(dPrime: number): number {
  return Math.SQRT2 * normalDensity(dPrime / Math.SQRT2) * normalLowerTail(dPrime / Math.sqrt(6));
}
