import { describe, expect, it } from "vitest";
import { z } from "zod";
import { calculators } from "../../src/calculators/registry.ts";

const good: Record<string, Record<string, unknown>> = {
  "paired-scores": {
    pairs: [
      [7, 6.5],
      [6, 6],
      [8, 5],
    ],
  },
  "paired-size": { difference: 0.5, sd: 1, power: 0.8 },
  equivalence: { differences: [0.2, -0.1, 0.3, 0], lower: -0.5, upper: 0.5 },
  "replicated-test": { method: "triangle", tasters: [{ correct: 2, assessments: 4 }] },
  "across-coffees": {
    method: "triangle",
    coffees: [{ label: "Sallow", correct: 5, assessments: 9 }],
  },
  "process-test": { pairs: [{ label: "1", coffee: "Sallow", favour: 7, assessments: 9 }] },
  "process-contrast": {
    testPairs: [{ coffee: "Sallow", correct: 5, assessments: 9 }],
    controlPairs: [{ coffee: "Sallow", correct: 3, assessments: 9 }],
  },
  "random-effects": { studies: [{ label: "spring", effect: 0.4, variance: 0.1 }] },
  "adjust-p": { pValues: [0.01, 0.2], kind: "holm" },
  friedman: {
    blocks: [
      [1, 2, 3],
      [2, 1, 3],
    ],
  },
  "two-way": {
    blocks: [
      [1, 2, 3],
      [2, 1, 3],
    ],
  },
  describe: { values: [1, 2, 3] },
};

const cup = { label: "Sallow", correct: 5, assessments: 9 };
const study = { label: "spring", effect: 0.4, variance: 0.1 };
const pot = { label: "1", favour: 7, assessments: 9 };

const refused: [string, string, Record<string, unknown>, (string | number)[]][] = [
  ["both pairs and differences", "paired-scores", { differences: [1] }, ["pairs"]],
  ["neither pairs nor differences", "paired-scores", { pairs: undefined }, ["pairs"]],
  ["no pairs at all", "paired-scores", { pairs: [] }, ["pairs"]],
  ["a pair of three", "paired-scores", { pairs: [[1, 2, 3]] }, ["pairs", 0]],
  ["a score that is no number", "paired-scores", { pairs: [[1, Number.NaN]] }, ["pairs", 0, 1]],
  ["a score in words", "paired-scores", { pairs: [["7", 6]] }, ["pairs", 0, 0]],
  ["an endless score", "paired-scores", { pairs: [[Infinity, 6]] }, ["pairs", 0, 0]],
  ["a confidence in percent", "paired-scores", { confidence: 95 }, ["confidence"]],
  ["an unknown alternative", "paired-scores", { alternative: "both" }, ["alternative"]],
  ["no difference to find", "paired-size", { difference: 0 }, ["difference"]],
  ["a negative spread", "paired-size", { sd: -1 }, ["sd"]],
  ["certain power", "paired-size", { power: 1 }, ["power"]],
  ["reversed margins", "equivalence", { lower: 0.5, upper: -0.5 }, ["upper"]],
  ["margins that meet", "equivalence", { lower: 0.5, upper: 0.5 }, ["upper"]],
  ["too few brewer labels", "equivalence", { brewerOrder: ["N", "S"] }, ["brewerOrder"]],
  ["one brewer label", "equivalence", { brewerOrder: ["N", "N", "N", "N"] }, ["brewerOrder"]],
  ["three brewer labels", "equivalence", { brewerOrder: ["N", "S", "W", "N"] }, ["brewerOrder"]],
  ["alpha of a half", "equivalence", { alpha: 0.5 }, ["alpha"]],
  ["no tasters", "replicated-test", { tasters: [] }, ["tasters"]],
  ["an unknown method", "replicated-test", { method: "guess" }, ["method"]],
  [
    "more correct than asked",
    "replicated-test",
    { tasters: [{ correct: 5, assessments: 4 }] },
    ["tasters", 0, "correct"],
  ],
  [
    "half an answer",
    "replicated-test",
    { tasters: [{ correct: 0.5, assessments: 4 }] },
    ["tasters", 0, "correct"],
  ],
  [
    "no answers",
    "replicated-test",
    { tasters: [{ correct: 0, assessments: 0 }] },
    ["tasters", 0, "assessments"],
  ],
  ["no coffees", "across-coffees", { coffees: [] }, ["coffees"]],
  [
    "a coffee without a name",
    "across-coffees",
    { coffees: [{ ...cup, label: " " }] },
    ["coffees", 0, "label"],
  ],
  [
    "a thousand million answers",
    "across-coffees",
    { coffees: [{ ...cup, assessments: 1e9 }] },
    ["coffees", 0, "assessments"],
  ],
  ["two sides of a triangle", "across-coffees", { sides: "two" }, ["sides"]],
  [
    "more in favour than asked",
    "process-test",
    { pairs: [{ ...pot, favour: 10 }] },
    ["pairs", 0, "favour"],
  ],
  [
    "a pair that nobody tasted",
    "process-test",
    { pairs: [{ ...pot, assessments: 0 }] },
    ["pairs", 0, "assessments"],
  ],
  ["no control pairs", "process-contrast", { controlPairs: [] }, ["controlPairs"]],
  [
    "a test pair without coffee",
    "process-contrast",
    { testPairs: [{ correct: 1, assessments: 2 }] },
    ["testPairs", 0, "coffee"],
  ],
  [
    "no variance",
    "random-effects",
    { studies: [{ ...study, variance: 0 }] },
    ["studies", 0, "variance"],
  ],
  ["an unknown estimator", "random-effects", { estimator: "best" }, ["estimator"]],
  ["a p-value above 1", "adjust-p", { pValues: [0.5, 1.01] }, ["pValues", 1]],
  ["no p-values", "adjust-p", { pValues: [] }, ["pValues"]],
  ["no kind", "adjust-p", { kind: undefined }, ["kind"]],
  [
    "ragged blocks",
    "friedman",
    {
      blocks: [
        [1, 2],
        [1, 2, 3],
      ],
    },
    ["blocks"],
  ],
  ["one block", "two-way", { blocks: [[1, 2]] }, ["blocks"]],
  ["one treatment", "two-way", { blocks: [[1], [2]] }, ["blocks", 0]],
  ["no values", "describe", { values: [] }, ["values"]],
];

describe("calculators of samples, groups and processes", () => {
  it.each(Object.keys(good))("%s answers as its own output schema says", (name) => {
    const calculator = calculators.get(name);
    const outcome = calculator?.run(good[name]);
    if (!outcome?.ok) throw new Error(JSON.stringify(outcome));
    expect(calculator?.output.safeParse(outcome.output)).toEqual({
      success: true,
      data: outcome.output,
    });
  });

  it.each(Object.keys(good))("%s refuses an unknown field by name", (name) => {
    const outcome = calculators.get(name)?.run({ ...good[name], tastersNames: [] });
    expect(outcome).toMatchObject({
      ok: false,
      code: "invalid-input",
      issues: [
        {
          path: ["tastersNames"],
          message: expect.stringMatching(
            /^There is no field of this name; the fields are .*[a-z]\.$/,
          ),
        },
      ],
    });
  });

  it.each(refused)("%s is refused where it stands (%s)", (_, name, change, path) => {
    const outcome = calculators.get(name)?.run({ ...good[name], ...change });
    const { issues } = z.object({ ok: z.literal(false), issues: issuesSchema }).parse(outcome);
    expect(issues.map((issue) => issue.path)).toContainEqual(path);
    for (const { message } of issues) expect(message).not.toMatch(/^Invalid/);
  });

  it("paired-scores answers the rest when the sign-flip is out of reach, and says why", () => {
    const outcome = calculators.get("paired-scores")?.run({ pairs: tooFine() });
    if (!outcome?.ok) throw new Error(JSON.stringify(outcome));
    expect(outcome.output).toMatchObject({
      n: 60,
      t: { df: 59, pValue: expect.any(Number) },
      signedRank: { n: 60, pValue: expect.any(Number) },
      // i/7 is below 1/(i + 3) for i = 0, 1 and above from 2 on: i(i + 3) against 7.
      sign: { positive: 58, negative: 2, pValue: expect.any(Number) },
      randomisation: {
        pValue: null,
        exact: false,
        reason: expect.stringContaining("round to fewer decimals"),
      },
    });
    expect(calculators.get("paired-scores")?.output.parse(outcome.output)).toEqual(outcome.output);
    const reached = calculators.get("paired-scores")?.run(good["paired-scores"]);
    expect(reached).toMatchObject({ output: { randomisation: { pValue: 0.5, exact: true } } });
    expect(reached).not.toHaveProperty("output.randomisation.reason");
  });

  it("paired-size has no number where a million pairs would not do", () => {
    const outcome = calculators.get("paired-size")?.run({ difference: 1e-6, sd: 1, power: 0.8 });
    expect(outcome).toEqual({ ok: true, output: { pairs: null, achievedPower: null } });
  });

  it.each(Object.keys(good))("%s gives numbers that JSON can hold, or null", (name) => {
    const outcome = calculators.get(name)?.run(good[name]);
    if (!outcome?.ok) throw new Error(JSON.stringify(outcome));
    expect(JSON.parse(JSON.stringify(outcome.output))).toEqual(outcome.output);
  });
});

const issuesSchema = z.array(
  z.object({ path: z.array(z.union([z.string(), z.number()])), message: z.string() }),
);

function tooFine(): number[][] {
  return Array.from({ length: 60 }, (_, i) => [i / 7, 1 / (i + 3)]);
}
