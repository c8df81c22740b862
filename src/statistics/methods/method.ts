export const methodNames = [
  "triangle",
  "duo-trio",
  "tetrad",
  "paired-comparison",
  "three-afc",
] as const;

export type MethodName = (typeof methodNames)[number];

/** A forced-choice method: everything that tells it from the others. A new method is one more such record. */
export interface Method {
  name: MethodName;
  title: string;
  /** Probability of a correct answer by pure guessing. */
  guessing: number;
  /** Psychometric function: probability of a correct answer at a sensory difference d′ ≥ 0. */
  proportionCorrect: (dPrime: number) => number;
  /** Its inverse: d′ of a probability strictly between guessing and 1. */
  dPrime: (proportionCorrect: number) => number;
  /** The complete set of serving orders, each to be used equally often; A and B are the treatments. */
  sequences: readonly string[];
  /** Whether the first cup of a sequence is the open reference. */
  referenceFirst: boolean;
  /** What a taster is asked. */
  instruction: string;
}
