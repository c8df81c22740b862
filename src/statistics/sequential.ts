import { binomialLowerTail, binomialUpperTail } from "./distributions.ts";

export interface Looking {
  /** Chance of a correct (or one-sided) answer when there is nothing to find. */
  guessing: number;
  sides: "one" | "two";
  alpha: number;
  /** Numbers of answers, ascending, after each of which the test is done and a p ≤ alpha believed. */
  looks: readonly number[];
}

/**
 * The true false-alarm rate of an exact binomial test that is looked at more than once: the
 * probability, with nothing to find, that p ≤ alpha at one of the looks at least. Exact, by carrying
 * the distribution of the count from look to look and taking out what has already alarmed
 * (Armitage, McPherson & Rowe 1969, J. R. Statist. Soc. A 132, 235).
 */
export function falseAlarmRate({ guessing, sides, alpha, looks }: Looking): number {
  let counts = [1];
  let alarmed = 0;
  for (let answers = 1; answers <= Math.max(0, ...looks); answers++) {
    counts = oneMoreAnswer(counts, guessing);
    if (!looks.includes(answers)) continue;
    for (const [correct, probability] of counts.entries()) {
      if (pValue(correct, answers, guessing, sides) > alpha) continue;
      alarmed += probability;
      counts[correct] = 0;
    }
  }
  return alarmed;
}

function oneMoreAnswer(counts: readonly number[], guessing: number): number[] {
  return Array.from(
    { length: counts.length + 1 },
    (_, correct) => (counts[correct] ?? 0) * (1 - guessing) + (counts[correct - 1] ?? 0) * guessing,
  );
}

function pValue(correct: number, answers: number, guessing: number, sides: "one" | "two"): number {
  const upper = binomialUpperTail(correct, answers, guessing);
  if (sides === "one") return upper;
  return 2 * Math.min(upper, binomialLowerTail(correct, answers, guessing));
}
