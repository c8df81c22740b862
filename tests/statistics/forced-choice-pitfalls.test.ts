import { describe, expect, it } from "vitest";
import { criticalCount, upperTail } from "../../src/statistics/binomial.ts";
import {
  discriminationTest,
  methods,
  proportionDistinguishing,
} from "../../src/statistics/discrimination.ts";
import { binomialProbability, normalUpperTail } from "../../src/statistics/distributions.ts";
import { clopperPearson, wilson } from "../../src/statistics/intervals.ts";
import { methodNames } from "../../src/statistics/methods/method.ts";
import { panelSize, power } from "../../src/statistics/panel-size.ts";

describe("a negative guess-corrected share", () => {
  it("is kept raw: 8 of 30 triangles are −10 %", () => {
    const { proportionDistinguishing: pd } = discriminationTest({
      method: "triangle",
      assessments: 30,
      correct: 8,
    });
    expect(pd.estimate).toBeCloseTo(-0.1, 14);
    expect(pd.lower).toBeLessThan(pd.estimate);
  });

  it("so that the mean over sessions of guessers is 0, where clamped ones would mean that 5 % can tell", () => {
    let [raw, clamped] = [0, 0];
    for (let correct = 0; correct <= 30; correct += 1) {
      const weight = binomialProbability(correct, 30, 1 / 3);
      const { estimate } = discriminationTest({
        method: "triangle",
        assessments: 30,
        correct,
      }).proportionDistinguishing;
      raw += weight * estimate;
      clamped += weight * Math.max(0, estimate);
    }
    expect(raw).toBeCloseTo(0, 13);
    expect(clamped).toBeCloseTo(0.05, 2);
  });

  it("and all correct has no finite d′", () => {
    const { dPrime } = discriminationTest({ method: "triangle", assessments: 30, correct: 30 });
    expect(dPrime.estimate).toBeNull();
  });
});

describe("methods with one guessing probability", () => {
  it("are not one model: 60 % correct is another d′ in each", () => {
    const sizes = (["three-afc", "tetrad", "triangle"] as const).map((name) =>
      methods[name].dPrime(0.6),
    );
    expect(sizes.map((d) => Number(d.toFixed(2)))).toEqual([0.89, 1.36, 1.98]);
  });

  it("have other shares of distinguishers at one d′, so that only d′ compares them", () => {
    const shares = methodNames.map((name) =>
      proportionDistinguishing(methods[name].proportionCorrect(1), methods[name].guessing),
    );
    const distinct = new Set(shares.map((pd) => pd.toFixed(2)));
    expect(distinct.size).toBe(methodNames.length);
  });
});

describe("the normal approximation", () => {
  it("finds a difference in 7 of 12 triangles that the exact test does not", () => {
    const z = (7 - 12 / 3) / Math.sqrt(12 * (1 / 3) * (2 / 3));
    expect(normalUpperTail(z)).toBeLessThan(0.05);
    const exact = discriminationTest({ method: "triangle", assessments: 12, correct: 7 });
    expect(exact.pValue).toBeGreaterThan(0.05);
    expect(exact.significant).toBe(false);
  });

  // z-formula notes to the published triangle tables, from memory; counted against exact tails.
  it("would make 287 of 475 triangle cells too small uncorrected, and 48 wrong corrected", () => {
    const levels = { 0.2: 0.84, 0.1: 1.28, 0.05: 1.64, 0.01: 2.33, 0.001: 3.09 };
    let [tooSmall, corrected] = [0, 0];
    for (let n = 6; n <= 100; n += 1) {
      for (const [alpha, z] of Object.entries(levels)) {
        const exact = criticalCount(n, 1 / 3, Number(alpha)) ?? n + 1;
        const spread = z * Math.sqrt((2 * n) / 9);
        if (Math.floor(n / 3 + spread) + 1 < exact) tooSmall += 1;
        if (Math.ceil(n / 3 + 0.5 + spread) !== exact) corrected += 1;
      }
    }
    expect({ tooSmall, corrected }).toEqual({ tooSmall: 287, corrected: 48 });
  });

  it("would give no width at 0 or n, where the intervals here keep theirs", () => {
    for (const interval of [clopperPearson, wilson]) {
      expect(interval(0, 12).upper).toBeGreaterThan(0.2);
      expect(interval(12, 12).lower).toBeLessThan(0.8);
    }
  });
});

describe("saw-tooth power", () => {
  it("can fall with more tasters, so a plan shows from which size on it stays", () => {
    const effect = { proportionDistinguishing: 0.3 };
    const plan = { method: "triangle", goal: "difference", power: 0.8, effect } as const;
    const size = panelSize(plan);
    const atSize = (assessments: number) =>
      power({ method: "triangle", assessments, effect }).power;
    const first = size?.assessments ?? Number.NaN;
    expect(atSize(first)).toBeGreaterThanOrEqual(0.8);
    expect(atSize(first + 1)).toBeLessThan(0.8);
    expect(size?.stableAssessments).toBeGreaterThan(first);
  });

  it("comes with the alpha that is really attained, which is not the nominal one", () => {
    const size = panelSize({
      method: "triangle",
      goal: "difference",
      power: 0.8,
      effect: { proportionDistinguishing: 0.3 },
    });
    expect(size?.achievedAlpha).toBeLessThan(0.05);
    expect(size?.achievedAlpha).toBe(
      upperTail(size?.criticalCount ?? 0, size?.assessments ?? 0, 1 / 3),
    );
  });

  it("is for plans: a result reports its interval, never an observed power", () => {
    const result = discriminationTest({ method: "triangle", assessments: 30, correct: 12 });
    expect(Object.keys(result).filter((field) => /power/i.test(field))).toEqual([]);
  });
});

describe("the null hypothesis follows the instruction", () => {
  it("guessing is one over the answers that the instruction allows", () => {
    const answers = {
      // Any of three cups may be named odd or strongest.
      triangle: 3,
      "three-afc": 3,
      // Four cups make two pairs in 3 ways: not 6, as for naming the two strongest, and not 2.
      tetrad: choose(4, 2) / 2,
      "duo-trio": 2,
      "paired-comparison": 2,
    };
    for (const name of methodNames) expect(methods[name].guessing).toBe(1 / answers[name]);
  });

  // Fisher (1935), The Design of Experiments, ch. II.
  it("eight cups told to be four of each are 1 in 70, not the 1 in 256 of independent answers", () => {
    expect(upperTail(8, 8, 1 / 2)).toBe(1 / 256);
    expect(1 / choose(8, 4)).toBe(1 / 70);
    // A taster who tells all of two tetrads right has one chance in 9, not in 36 nor in 256.
    expect(upperTail(2, 2, methods.tetrad.guessing)).toBeCloseTo(1 / 9, 15);
  });
});

function choose(n: number, k: number): number {
  return k === 0 ? 1 : (choose(n - 1, k - 1) * n) / k;
}
