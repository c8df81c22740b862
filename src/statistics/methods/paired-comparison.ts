import { normalLowerQuantile, normalLowerTail } from "../distributions.ts";
import type { Method } from "./method.ts";

/** ISO 5495, directional (2-AFC): two cups; which has more of a named attribute? */
export const pairedComparison: Method = {
  name: "paired-comparison",
  title: "Paired comparison",
  guessing: 1 / 2,
  // pc = Φ(d′/√2). Source: Thurstone (1927), case V; Green & Swets (1966).
  proportionCorrect: (dPrime) => normalLowerTail(dPrime / Math.SQRT2),
  dPrime: (proportionCorrect) => Math.SQRT2 * normalLowerQuantile(proportionCorrect),
  sequences: ["AB", "BA"],
  referenceFirst: false,
  instruction:
    "Taste from left to right. Which cup has more of the attribute? If you are not sure, guess.",
};
