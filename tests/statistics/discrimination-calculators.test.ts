import { describe, expect, it } from "vitest";
import { discriminationCalculators } from "../../src/calculators/discrimination.ts";
import { calculators } from "../../src/calculators/registry.ts";

describe("the forced-choice calculators", () => {
  it("are in the registry", () => {
    for (const calculator of discriminationCalculators) {
      expect(calculators.get(calculator.name)).toBe(calculator);
    }
  });

  it("need no more than a method and the counts", () => {
    expect(
      run("discrimination-test", { method: "triangle", assessments: 36, correct: 18 }),
    ).toEqual({
      ok: true,
      output: {
        guessing: 1 / 3,
        pValue: expect.closeTo(0.0283492101907158, 14),
        criticalCount: 18,
        significant: true,
        proportionCorrect: interval(0.5, 0.3292217994577103, 0.6707782005422896),
        proportionDistinguishing: interval(0.25, -0.006167300813434528, 0.5061673008134344),
        dPrime: {
          estimate: expect.closeTo(1.466262780055705, 12),
          lower: 0,
          upper: expect.any(Number),
        },
      },
    });
  });

  it("answer null where there is no finite value", () => {
    const all = run("discrimination-test", { method: "tetrad", assessments: 2, correct: 2 });
    expect(all).toMatchObject({
      output: { criticalCount: null, significant: false, dPrime: { estimate: null, upper: null } },
    });
    expect(run("psychometric", { method: "tetrad", proportionCorrect: 1 })).toMatchObject({
      output: { dPrime: null, proportionCorrect: 1, proportionDistinguishing: 1 },
    });
    expect(
      run("panel-size", { method: "triangle", goal: "difference", power: 0.9, dPrime: 0.01 }),
    ).toMatchObject({ output: { assessments: null, stableAssessments: null } });
  });

  it("answer what their output schema says", () => {
    const inputs: [string, unknown][] = [
      [
        "discrimination-test",
        { method: "paired-comparison", sides: "two", assessments: 9, correct: 0 },
      ],
      [
        "similarity-test",
        { method: "paired-comparison", assessments: 80, correct: 41, margin: 0.3 },
      ],
      ["similarity-test", { method: "duo-trio", assessments: 8, correct: 8, margin: 0.3 }],
      ["panel-size", { method: "tetrad", goal: "similarity", power: 0.9, dPrime: 1 }],
      ["discrimination-power", { method: "three-afc", assessments: 24, dPrime: 1 }],
      ["critical-counts", { method: "duo-trio", from: 1, to: 60 }],
      ["psychometric", { method: "duo-trio", dPrime: 2 }],
      ["binomial-interval", { successes: 0, trials: 12, kind: "wilson" }],
      ["binomial-interval", { successes: 12, trials: 12, kind: "exact" }],
    ];
    for (const [name, input] of inputs) {
      const outcome = run(name, input);
      expect(outcome.ok, name).toBe(true);
      if (outcome.ok)
        expect(calculators.get(name)?.output.parse(outcome.output)).toEqual(outcome.output);
    }
  });

  it("lead from d′ to a proportion and back", () => {
    const there = run("psychometric", { method: "triangle", dPrime: 1.5 });
    expect(there).toMatchObject({ output: { dPrime: 1.5 } });
    const pc = there.ok ? Object(there.output).proportionCorrect : undefined;
    expect(run("psychometric", { method: "triangle", proportionCorrect: pc })).toMatchObject({
      output: { dPrime: expect.closeTo(1.5, 12) },
    });
    expect(run("psychometric", { method: "triangle", proportionCorrect: 0.2 })).toMatchObject({
      output: { dPrime: 0, proportionDistinguishing: expect.closeTo(-0.2, 14) },
    });
  });
});

describe("a similarity margin of 1: everybody can tell", () => {
  // With pd = 1 nobody errs, so that a single wrong answer refutes it.
  it("is shown by any wrong answer, and by none else", () => {
    const ask = (correct: number) =>
      run("similarity-test", { method: "triangle", assessments: 60, correct, margin: 1 });
    expect(ask(59)).toMatchObject({ output: { pValue: 0, maximumCount: 59, similar: true } });
    expect(ask(60)).toMatchObject({ output: { pValue: 1, similar: false } });
  });

  it("looks both ways in a paired comparison", () => {
    const ask = (correct: number) =>
      run("similarity-test", { method: "paired-comparison", assessments: 10, correct, margin: 1 });
    expect(ask(9)).toMatchObject({ output: { pValue: 0, maximumCount: 9, minimumCount: 1 } });
    for (const correct of [0, 10]) {
      expect(ask(correct)).toMatchObject({ output: { pValue: 1, similar: false } });
    }
  });
});

describe("bad input is refused at its field", () => {
  const good = { method: "triangle", assessments: 30, correct: 15 };
  const plan = { method: "triangle", goal: "difference", power: 0.8 };

  it.each<[string, string, unknown, (string | number)[]]>([
    ["more correct than assessments", "discrimination-test", { ...good, correct: 31 }, ["correct"]],
    ["half an answer", "discrimination-test", { ...good, correct: 1.5 }, ["correct"]],
    ["a negative count", "discrimination-test", { ...good, correct: -1 }, ["correct"]],
    [
      "no assessments",
      "discrimination-test",
      { ...good, assessments: 0, correct: 0 },
      ["assessments"],
    ],
    [
      "a thousand million tasters",
      "discrimination-test",
      { ...good, assessments: 1e9 },
      ["assessments"],
    ],
    ["not a number", "discrimination-test", { ...good, assessments: Number.NaN }, ["assessments"]],
    ["a number as text", "discrimination-test", { ...good, correct: "15" }, ["correct"]],
    [
      "a missing count",
      "discrimination-test",
      { method: "triangle", assessments: 30 },
      ["correct"],
    ],
    ["an unknown method", "discrimination-test", { ...good, method: "square" }, ["method"]],
    ["two sides of a triangle", "discrimination-test", { ...good, sides: "two" }, ["sides"]],
    ["an alpha of 1", "discrimination-test", { ...good, alpha: 1 }, ["alpha"]],
    ["an alpha of 0", "discrimination-test", { ...good, alpha: 0 }, ["alpha"]],
    ["a confidence of 95", "discrimination-test", { ...good, confidence: 95 }, ["confidence"]],
    ["an unknown field", "discrimination-test", { ...good, panel: 3 }, ["panel"]],
    ["something else than an object", "discrimination-test", [1, 2], []],
    ["no margin", "similarity-test", good, ["margin"]],
    ["a margin of 0", "similarity-test", { ...good, margin: 0 }, ["margin"]],
    ["a margin in percent", "similarity-test", { ...good, margin: 30 }, ["margin"]],
    ["a negative margin", "similarity-test", { ...good, margin: -0.2 }, ["margin"]],
    ["no effect", "panel-size", plan, ["proportionDistinguishing"]],
    [
      "two effects",
      "panel-size",
      { ...plan, dPrime: 1, proportionDistinguishing: 0.3 },
      ["proportionDistinguishing"],
    ],
    ["an effect of nothing", "panel-size", { ...plan, dPrime: 0 }, ["dPrime"]],
    [
      "a share over 1",
      "panel-size",
      { ...plan, proportionDistinguishing: 30 },
      ["proportionDistinguishing"],
    ],
    ["certain power", "panel-size", { ...plan, power: 1, dPrime: 1 }, ["power"]],
    ["an unknown goal", "panel-size", { ...plan, goal: "fame", dPrime: 1 }, ["goal"]],
    [
      "a table from after to before",
      "critical-counts",
      { method: "triangle", from: 9, to: 8 },
      ["to"],
    ],
    ["an endless table", "critical-counts", { method: "triangle", from: 1, to: 1e9 }, ["to"]],
    ["neither d′ nor proportion", "psychometric", { method: "triangle" }, ["dPrime"]],
    ["a negative d′", "psychometric", { method: "triangle", dPrime: -1 }, ["dPrime"]],
    [
      "a proportion over 1",
      "psychometric",
      { method: "triangle", proportionCorrect: 60 },
      ["proportionCorrect"],
    ],
    [
      "more successes than trials",
      "binomial-interval",
      { successes: 3, trials: 2, kind: "exact" },
      ["successes"],
    ],
    ["an unknown kind", "binomial-interval", { successes: 1, trials: 2, kind: "wald" }, ["kind"]],
  ])("%s", (_, name, input, path) => {
    const outcome = run(name, input);
    expect(outcome.ok).toBe(false);
    if (outcome.ok) return;
    expect(outcome.code).toBe("invalid-input");
    expect(outcome.issues[0]?.path).toEqual(path);
    expect(outcome.issues[0]?.message.length).toBeGreaterThan(10);
  });
});

function run(name: string, input: unknown) {
  const calculator = calculators.get(name);
  if (calculator === undefined) throw new Error(`No calculator ${name}`);
  return calculator.run(input);
}

function interval(estimate: number, lower: number, upper: number) {
  return {
    estimate: expect.closeTo(estimate, 14),
    lower: expect.closeTo(lower, 12),
    upper: expect.closeTo(upper, 12),
  };
}
