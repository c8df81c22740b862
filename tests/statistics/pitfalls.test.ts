import { describe, expect, it } from "vitest";
import { calculators } from "../../src/calculators/registry.ts";
import { gridOf, gridOfDifferences } from "../../src/statistics/decimals.ts";
import { moments } from "../../src/statistics/descriptive.ts";
import { discriminationTest, similarityTest } from "../../src/statistics/discrimination.ts";
import { equivalence } from "../../src/statistics/equivalence.ts";
import { holm } from "../../src/statistics/multiplicity.ts";
import { pairedScores } from "../../src/statistics/paired.ts";
import { replicatedTest } from "../../src/statistics/replicated.ts";
import { falseAlarmRate } from "../../src/statistics/sequential.ts";
import { acrossCoffees } from "../../src/statistics/strata.ts";
import { randomEffects } from "../../src/statistics/synthesis.ts";
import { twoWay } from "../../src/statistics/variance.ts";
import { answerTo, valueAt } from "../published/calculated.ts";

describe("1. not significant is not the same", () => {
  it("12 triangles with 4 right show neither a difference nor similarity (Altman & Bland 1995)", () => {
    expect(
      discriminationTest({ method: "triangle", assessments: 12, correct: 4 }).significant,
    ).toBe(false);
    const similarity = similarityTest({
      method: "triangle",
      assessments: 12,
      correct: 4,
      margin: 0.3,
    });
    expect(similarity.similar).toBe(false);
    expect(similarity.upperLimit).toBeGreaterThan(0.4);
  });

  it("three yields of p .7 are not within half a point (Schuirmann 1987)", () => {
    const yields = gridOf([0.1, -0.4, 0.5]);
    expect(pairedScores(yields).t.pValue).toBeGreaterThan(0.5);
    const { equivalent, interval } = equivalence(yields, { lower: -0.5, upper: 0.5 });
    expect(equivalent).toBe(false);
    expect(interval.upper).toBeCloseTo(0.83, 2);
  });
});

describe("2. answers of one taster are not people", () => {
  const once = [1, 1, 0, 1, 0, 1, 1, 0, 0, 1].map((correct) => ({ correct, assessments: 1 }));
  const fourTimes = once.map(({ correct }) => ({ correct: 4 * correct, assessments: 4 }));

  it("tasters who say the same four times teach no more than once (Ennis & Bi 1998)", () => {
    const [single, repeated] = [once, fourTimes].map((tasters) =>
      replicatedTest("duo-trio", tasters),
    );
    expect(repeated?.proportionDistinguishing).toEqual(single?.proportionDistinguishing);
    expect(repeated?.betaBinomial.overdispersion).toBe(1);
    expect(repeated?.pooled).toMatchObject({ tasters: 10, assessments: 40 });
  });

  it("a product tasted by every taster is tested against product by taster: F 20.6, not 949 (Machines)", () => {
    expect(valueAt(answerTo("machines"), "treatment.f")).toBeCloseTo(20.576, 3);
    expect(valueAt(answerTo("machines"), "treatment.errorDf")).toBe(10);
  });
});

describe("3. coffees and sessions are not one heap", () => {
  it("two coffees that lean opposite ways stay visible behind a pooled p of 1", () => {
    const { each, pooled, heterogeneity } = acrossCoffees({
      method: "paired-comparison",
      sides: "two",
      coffees: [
        { label: "Petrel", correct: 20, assessments: 24 },
        { label: "Cinder", correct: 4, assessments: 24 },
      ],
    });
    expect(pooled.pValue).toBe(1);
    expect(each.map(({ significant }) => significant)).toEqual([true, true]);
    expect(heterogeneity.pValue).toBeLessThan(1e-5);
  });

  it("sessions that disagree widen the pooled interval", () => {
    const studies = [0.1, 0.9, -0.5, 1.4].map((effect) => ({ effect, variance: 0.02 }));
    const { fixed, random, predictionInterval } = randomEffects(studies);
    const width = (interval: { lower: number; upper: number } | null) =>
      interval ? interval.upper - interval.lower : 0;
    expect(width(random)).toBeGreaterThan(4 * width(fixed));
    expect(width(predictionInterval)).toBeGreaterThan(width(random));
  });
});

describe("4. many questions, one false find", () => {
  it("twenty questions with one p of .02 find nothing (Holm 1979), and all twenty are returned", () => {
    const adjusted = holm([0.02, ...Array.from({ length: 19 }, (_, i) => 0.1 + i / 25)]);
    expect(adjusted).toHaveLength(20);
    expect(Math.min(...adjusted)).toBeGreaterThan(0.05);
  });
});

describe("5. sides are not chosen after the data", () => {
  it("a paired comparison of 15 in 20 that was planned two-sided keeps twice the p", () => {
    const test = { method: "paired-comparison", assessments: 20, correct: 15 } as const;
    const [one, two] = (["one", "two"] as const).map((sides) =>
      discriminationTest({ ...test, sides }),
    );
    expect(two?.pValue).toBe(2 * (one?.pValue ?? 0));
    const opposite = discriminationTest({ ...test, correct: 5, sides: "two" });
    expect(opposite.pValue).toBe(two?.pValue);
  });

  it("scores are two-sided unless a side was asked for, and the process claim always is", () => {
    const differences = [1, 2, 1, 3, 1];
    expect(output("paired-scores", { differences })).toEqual(
      output("paired-scores", { differences, alternative: "two-sided" }),
    );
    const pairs = [{ label: "1", favour: 3, assessments: 4 }];
    expect(run("process-test", { pairs, sides: "one" })).toMatchObject({ ok: false });
  });
});

describe("6. looking early costs", () => {
  const pairs = { guessing: 0.5, sides: "two", alpha: 0.05 } as const;
  const everyAnswer = Array.from({ length: 40 }, (_, i) => i + 1);

  it("one look halfway moves 3.8 % false alarms in 40 pairs to 6.7 %, one after every answer to 15 %", () => {
    expect(falseAlarmRate({ ...pairs, looks: [40] })).toBeCloseTo(0.038, 3);
    expect(falseAlarmRate({ ...pairs, looks: [20, 40] })).toBeCloseTo(0.067, 3);
    expect(falseAlarmRate({ ...pairs, looks: everyAnswer })).toBeCloseTo(0.15, 2);
  });

  it("a triangle checked at every taster from 10 to 40 alarms falsely 12.2 % of the time", () => {
    const looks = everyAnswer.filter((answers) => answers >= 10);
    const rate = falseAlarmRate({ guessing: 1 / 3, sides: "one", alpha: 0.05, looks });
    expect(rate).toBeCloseTo(0.122, 3);
  });
});

describe("7. nobody is dropped on the way", () => {
  it("tasters without a difference stay in the count and in the sign flips", () => {
    const scores = pairedScores(gridOf([2, 1, 0, 0, 3, -1]));
    expect(scores).toMatchObject({ n: 6, meanDifference: 5 / 6, signedRank: { n: 4 } });
    expect(scores.sign).toMatchObject({ positive: 3, negative: 1 });
  });

  it("even pairs are counted, and help no claim", () => {
    const pair = (favour: number) => ({ label: "a pair", favour, assessments: 8 });
    const answer = output("process-test", { pairs: [7, 8, 6, 7, 8, 4, 4].map(pair) });
    expect(answer).toMatchObject({
      pairs: 7,
      favouring: { a: 5, b: 0, even: 2 },
      smallestPossiblePValue: 1 / 16,
      claimable: false,
      cups: { assessments: 56 },
    });
  });
});

describe("13. pairs stay pairs", () => {
  it("the sleep data show their effect paired (.0028), which unpaired they would not (.079)", () => {
    expect(valueAt(answerTo("sleep"), "t.pValue")).toBeCloseTo(0.0028, 4);
  });

  it("a missing half is refused at its place, never filled in", () => {
    for (const half of [null, undefined, Number.NaN]) {
      expect(
        run("paired-scores", {
          pairs: [
            [1, 2],
            [3, half],
          ],
        }),
      ).toMatchObject({
        ok: false,
        issues: [{ path: ["pairs", 1, 1] }],
      });
    }
    expect(
      run("two-way", {
        blocks: [
          [1, 2, 3],
          [4, 5],
        ],
      }),
    ).toMatchObject({ ok: false });
  });
});

describe("15. a difference test holds no preference", () => {
  it("only a paired comparison can be asked both ways; the others are refused at the sides", () => {
    const coffees = [{ label: "Anvil", correct: 14, assessments: 20 }];
    for (const method of ["triangle", "duo-trio", "tetrad", "three-afc"]) {
      expect(run("across-coffees", { method, sides: "two", coffees })).toMatchObject({
        ok: false,
        issues: [{ path: ["sides"] }],
      });
    }
    const both = { method: "paired-comparison", sides: "two", coffees };
    expect(run("across-coffees", both)).toMatchObject({ ok: true });
  });
});

describe("16. arithmetic does not eat the data", () => {
  it("ten million and two tenths: the one-pass formula loses a spread of 0.1 that ours keeps", () => {
    const values = [10000000.1, 10000000.3];
    const sample = Array.from({ length: 1001 }, (_, i) =>
      i === 0 ? 10000000.2 : (values[i % 2] ?? 0),
    );
    const n = sample.length;
    const sum = sample.reduce((a, b) => a + b, 0);
    const squares = sample.reduce((a, b) => a + b * b, 0);
    const onePass = Math.sqrt(Math.max(0, (squares - (sum * sum) / n) / (n - 1)));
    expect(Math.abs(onePass - 0.1)).toBeGreaterThan(1e-3);
    expect(moments(gridOf(sample)).standardDeviation).toBe(0.1);
  });

  it("a million million and some tenths: F is exact, though the doubles themselves are not", () => {
    const cells = [0.4, 0.3, 0.5, 0.2, 0.4, 0.3, 0.6, 0.3, 0.4];
    const far = cells.map((tenths) => Number(`1000000000000.${Math.round(10 * tenths)}`));
    expect(far.map((value) => value - 1e12)).not.toEqual(cells);
    expect(twoWay(gridOf(far), 3)).toEqual(twoWay(gridOf(cells), 3));
  });

  it("scores in tenths tie as their decimals do", () => {
    const pairs: [number, number][] = [
      [0.3, 0.1],
      [0.1, 0.3],
      [0.9, 0.7],
    ];
    const result = pairedScores(gridOfDifferences(pairs));
    expect(result.signedRank).toMatchObject({ statistic: 4 });
    expect(result.randomisation).toEqual({ ok: true, pValue: 1 });
  });
});

describe("17. significant is not important", () => {
  it("tasting scores are shown different and within one point, both at once", () => {
    expect(valueAt(answerTo("tasting-scores"), "t.pValue")).toBeLessThan(0.05);
    expect(valueAt(answerTo("tost-scores"), "equivalent")).toBe(1);
  });

  it("two thousand pairs make a fiftieth of a point significant, and the interval shows its size", () => {
    const differences = Array.from({ length: 2000 }, (_, i) => (i % 20 < 11 ? 0.2 : -0.2));
    const { randomisation, t } = pairedScores(gridOf(differences));
    expect(randomisation).toMatchObject({ ok: true });
    expect(randomisation.ok && randomisation.pValue).toBeLessThan(1e-4);
    expect(t.upper).toBeLessThan(0.03);
    const { equivalent } = equivalence(gridOf(differences), { lower: -0.1, upper: 0.1 });
    expect(equivalent).toBe(true);
  });
});

function run(name: string, input: unknown): unknown {
  return calculators.get(name)?.run(input);
}

function output(name: string, input: unknown): unknown {
  const outcome = calculators.get(name)?.run(input);
  if (!outcome?.ok) throw new Error(JSON.stringify(outcome));
  return outcome.output;
}
