import fc from "fast-check";
import { describe, expect, it } from "vitest";
import { reachesAlpha } from "../../src/statistics/binomial.ts";
import {
  discriminationTest,
  dPrimeOf,
  methods,
  proportionCorrectAt,
  proportionDistinguishing,
  similarityTest,
} from "../../src/statistics/discrimination.ts";
import { methodNames } from "../../src/statistics/methods/method.ts";

const method = fc.constantFrom(...methodNames);
const panel = fc.tuple(fc.integer({ min: 1, max: 150 }), fc.nat(150)).map(([assessments, at]) => ({
  assessments,
  correct: at % (assessments + 1),
}));
const alphaLevel = fc.double({ min: 0.001, max: 0.3, noNaN: true });

describe("the discrimination test", () => {
  it("is significant exactly from its critical count on", () => {
    fc.assert(
      fc.property(method, panel, alphaLevel, (name, { assessments, correct }, alpha) => {
        const result = discriminationTest({ method: name, assessments, correct, alpha });
        const reached = result.criticalCount !== null && correct >= result.criticalCount;
        expect(result.significant).toBe(reached);
        expect(result.significant).toBe(reachesAlpha(result.pValue, alpha));
      }),
    );
  });

  it("rejects guessing one-sided exactly when the 1 − 2 alpha interval of pd lies above 0", () => {
    fc.assert(
      fc.property(method, panel, alphaLevel, (name, { assessments, correct }, alpha) => {
        const confidence = 1 - 2 * alpha;
        const result = discriminationTest({ method: name, assessments, correct, confidence });
        const above = result.proportionDistinguishing.lower > 0;
        expect(result.pValue < alpha).toBe(above);
      }),
    );
  });

  it("two-sided, rejects exactly when the interval leaves out 0, on either side", () => {
    fc.assert(
      fc.property(
        panel,
        fc.double({ min: 0.5, max: 0.999, noNaN: true }),
        (answers, confidence) => {
          const result = discriminationTest({
            method: "paired-comparison",
            sides: "two",
            ...answers,
            confidence,
          });
          const { lower, upper } = result.proportionDistinguishing;
          expect(result.pValue < 1 - confidence).toBe(lower > 0 || upper < 0);
        },
      ),
    );
  });

  it("two-sided, changes only signs when the two treatments change places", () => {
    fc.assert(
      fc.property(panel, ({ assessments, correct }) => {
        const paired = { method: "paired-comparison", sides: "two", assessments } as const;
        const here = discriminationTest({ ...paired, correct });
        const there = discriminationTest({ ...paired, correct: assessments - correct });
        expect(here.pValue).toBeCloseTo(there.pValue, 13);
        expect(here.proportionDistinguishing.estimate).toBeCloseTo(
          -there.proportionDistinguishing.estimate,
          13,
        );
        if (here.dPrime.estimate === null) expect(there.dPrime.estimate).toBeNull();
        else expect(here.dPrime.estimate).toBeCloseTo(-(there.dPrime.estimate ?? 0), 12);
      }),
    );
  });

  it("has estimates inside their intervals, whichever scale", () => {
    fc.assert(
      fc.property(method, panel, (name, answers) => {
        const result = discriminationTest({ method: name, ...answers });
        const scales = [result.proportionCorrect, result.proportionDistinguishing, result.dPrime];
        for (const { estimate, lower, upper } of scales) {
          if (estimate !== null) expect(lower).toBeLessThanOrEqual(estimate);
          if (upper !== null) expect(upper).toBeGreaterThanOrEqual(estimate ?? Infinity);
        }
      }),
    );
  });

  it("gives d′ 0 at or under guessing, and null where all are correct", () => {
    expect(
      discriminationTest({ method: "triangle", assessments: 12, correct: 4 }).dPrime,
    ).toMatchObject({ estimate: 0, lower: 0 });
    expect(
      discriminationTest({ method: "triangle", assessments: 12, correct: 1 }).dPrime,
    ).toMatchObject({ estimate: 0, lower: 0 });
    const all = discriminationTest({ method: "tetrad", assessments: 12, correct: 12 }).dPrime;
    expect(all).toMatchObject({ estimate: null, upper: null });
    expect(all.lower).toBeGreaterThan(1);
  });

  it("signs d′ for a two-sided paired comparison, and has none where nobody is correct", () => {
    const paired = { method: "paired-comparison", sides: "two", assessments: 20 } as const;
    expect(discriminationTest({ ...paired, correct: 5 }).dPrime.estimate).toBeLessThan(0);
    expect(discriminationTest({ ...paired, correct: 0 }).dPrime).toMatchObject({
      estimate: null,
      lower: null,
    });
    expect(dPrimeOf("paired-comparison", 0.25)).toBe(0);
    expect(dPrimeOf("paired-comparison", 0.25, "two")).toBeCloseTo(-0.9538725524089396, 14);
  });
});

describe("the proportion of distinguishers", () => {
  it("turns into a proportion correct and back", () => {
    fc.assert(
      fc.property(method, fc.double({ min: -0.5, max: 1, noNaN: true }), (name, pd) => {
        const { guessing } = methods[name];
        expect(proportionDistinguishing(proportionCorrectAt(pd, guessing), guessing)).toBeCloseTo(
          pd,
          14,
        );
      }),
    );
  });
});

describe("the similarity test", () => {
  const margin = fc.double({ min: 0.01, max: 0.99, noNaN: true });

  it("shows similarity exactly when the upper limit of pd is within the margin", () => {
    fc.assert(
      fc.property(method, panel, margin, alphaLevel, (name, answers, largest, alpha) => {
        const result = similarityTest({ method: name, ...answers, margin: largest, alpha });
        const { upperLimit, lowerLimit = 0 } = result;
        fc.pre(Math.abs(upperLimit - largest) > 1e-9 && Math.abs(lowerLimit + largest) > 1e-9);
        expect(result.similar).toBe(upperLimit <= largest && lowerLimit >= -largest);
      }),
    );
  });

  it("shows similarity exactly between its counts", () => {
    fc.assert(
      fc.property(method, panel, margin, alphaLevel, (name, answers, largest, alpha) => {
        const result = similarityTest({ method: name, ...answers, margin: largest, alpha });
        const { maximumCount, minimumCount = 0 } = result;
        const between =
          maximumCount !== null &&
          answers.correct <= maximumCount &&
          answers.correct >= (minimumCount ?? 0);
        expect(result.similar).toBe(between);
      }),
    );
  });

  it("of a paired comparison looks both ways: a lean to the other side is no similarity", () => {
    const paired = { method: "paired-comparison", assessments: 100, margin: 0.3 } as const;
    expect(similarityTest({ ...paired, correct: 30 })).toMatchObject({
      similar: false,
      minimumCount: 44,
      maximumCount: 56,
    });
    const [here, there] = [45, 55].map((correct) => similarityTest({ ...paired, correct }));
    expect(here?.pValue).toBeCloseTo(there?.pValue ?? Number.NaN, 14);
  });

  it("has no count where too few tasted to show anything", () => {
    expect(
      similarityTest({ method: "triangle", assessments: 4, correct: 0, margin: 0.1 }),
    ).toMatchObject({ similar: false, maximumCount: null });
    expect(
      similarityTest({ method: "paired-comparison", assessments: 10, correct: 5, margin: 0.2 }),
    ).toMatchObject({ similar: false, maximumCount: null, minimumCount: null });
  });

  it("and the difference test can both succeed: a difference may be real and too small to matter", () => {
    const answers = { method: "triangle", assessments: 2000, correct: 760 } as const;
    expect(discriminationTest(answers).significant).toBe(true);
    expect(similarityTest({ ...answers, margin: 0.2 }).similar).toBe(true);
  });

  it("and the difference test can both fail: that is undecided, not the same", () => {
    const answers = { method: "triangle", assessments: 12, correct: 6 } as const;
    expect(discriminationTest(answers).significant).toBe(false);
    expect(similarityTest({ ...answers, margin: 0.3 }).similar).toBe(false);
  });
});
