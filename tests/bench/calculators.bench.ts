import { bench, describe } from "vitest";
import { calculators } from "../../src/calculators/registry.ts";

/** One usual question for each of the calculators that programs ask most. */
const questions: [string, unknown][] = [
  ["discrimination-test", { method: "triangle", assessments: 36, correct: 17 }],
  ["similarity-test", { method: "triangle", assessments: 54, correct: 20, margin: 0.3 }],
  [
    "panel-size",
    {
      method: "triangle",
      goal: "difference",
      power: 0.8,
      proportionDistinguishing: 0.3,
    },
  ],
  ["paired-scores", { differences: Array.from({ length: 24 }, (_, i) => ((i * 7) % 11) - 4) }],
  [
    "process-test",
    {
      pairs: Array.from({ length: 12 }, (_, i) => ({
        label: `pair ${i + 1}`,
        favour: 4 + (i % 5),
        assessments: 10,
      })),
    },
  ],
];

describe("Calculators, one answer each", () => {
  for (const [name, input] of questions) {
    bench(name, () => {
      if (calculators.get(name)?.run(input).ok !== true) throw new Error(`${name} refused`);
    });
  }
});
