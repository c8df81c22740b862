import { normalDensity, normalLowerTail } from "../distributions.ts";
import type { Method } from "./method.ts";
import { inverse } from "./psychometric.ts";

/** ISO 10399: an open reference, then two cups; which one matches the reference? */
export const duoTrio: Method = {
  name: "duo-trio",
  title: "Duo-trio",
  guessing: 1 / 2,
  proportionCorrect,
  dPrime: inverse(proportionCorrect, slope),
  sequences: ["AAB", "ABA", "BAB", "BBA"],
  referenceFirst: true,
  instruction:
    "Taste the reference first, then the two coded cups. Which one is the same as the reference?",
};

/**
 * pc = 1 − Φ(d′/√2) − Φ(d′/√6) + 2 Φ(d′/√2) Φ(d′/√6).
 * Source: Bradley (1963), Some relationships among sensory difference tests; Ennis (1993).
 */
function proportionCorrect(dPrime: number): number {
  const pair = normalLowerTail(dPrime / Math.SQRT2);
  const reference = normalLowerTail(dPrime / Math.sqrt(6));
  return 1 - pair - reference + 2 * pair * reference;
}

function slope(dPrime: number): number {
  const [pair, reference] = [dPrime / Math.SQRT2, dPrime / Math.sqrt(6)];
  return (
    (normalDensity(pair) / Math.SQRT2) * (2 * normalLowerTail(reference) - 1) +
    (normalDensity(reference) / Math.sqrt(6)) * (2 * normalLowerTail(pair) - 1)
  );
}
