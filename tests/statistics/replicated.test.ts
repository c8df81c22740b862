import fc from "fast-check";
import { describe, expect, it } from "vitest";
import { fitBetaBinomial } from "../../src/statistics/beta-binomial.ts";
import { logLikelihood, tallyOf } from "../../src/statistics/beta-binomial-likelihood.ts";
import { replicatedTest } from "../../src/statistics/replicated.ts";
import { orderKeys, reordered } from "./samples.ts";

const tasters = fc.array(
  fc.integer({ min: 1, max: 8 }).chain((assessments) =>
    fc.record({
      correct: fc.integer({ min: 0, max: assessments }),
      assessments: fc.constant(assessments),
    }),
  ),
  { minLength: 2, maxLength: 14 },
);

describe("the beta-binomial's maximum likelihood", () => {
  it("is beaten by no other mean and overdispersion", () => {
    const inside = fc.double({ min: 0.001, max: 0.999, noNaN: true });
    fc.assert(
      fc.property(tasters, inside, inside, (counts, mu, rho) => {
        const fit = fitBetaBinomial(counts);
        const other = logLikelihood(tallyOf(counts), mu, fit.overdispersion === null ? 0 : rho);
        expect(other).toBeLessThanOrEqual(fit.logLikelihood + 1e-9);
        expect(fit.binomialLogLikelihood).toBeLessThanOrEqual(fit.logLikelihood + 1e-12);
      }),
      { numRuns: 500 },
    );
  });

  it("stands still around its maximum", () => {
    fc.assert(
      fc.property(tasters, (counts) => {
        const { proportion: mu, overdispersion: rho, logLikelihood: top } = fitBetaBinomial(counts);
        if (rho === null || rho < 0.01 || rho > 0.99) return;
        for (const step of [-1e-4, 1e-4]) {
          expect(logLikelihood(tallyOf(counts), mu + step, rho)).toBeLessThanOrEqual(top);
          expect(logLikelihood(tallyOf(counts), mu, rho + step)).toBeLessThanOrEqual(top);
        }
      }),
    );
  });

  it("does not depend on the order of tasters, and mirrors right and wrong", () => {
    fc.assert(
      fc.property(tasters, orderKeys, (counts, keys) => {
        const fit = fitBetaBinomial(counts);
        expect(fitBetaBinomial(reordered(counts, keys)).proportion).toBeCloseTo(fit.proportion, 12);
        const mirrored = fitBetaBinomial(
          counts.map(({ correct, assessments }) => ({
            correct: assessments - correct,
            assessments,
          })),
        );
        expect(mirrored.proportion).toBeCloseTo(1 - fit.proportion, 7);
        expect(mirrored.standardError).toBeCloseTo(fit.standardError, 6);
        expect(mirrored.logLikelihood).toBeCloseTo(fit.logLikelihood, 9);
      }),
    );
  });

  it("is the plain binomial where tasters vary less than chance would make them", () => {
    const even = Array.from({ length: 10 }, () => ({ correct: 2, assessments: 4 }));
    expect(fitBetaBinomial(even)).toMatchObject({
      proportion: 0.5,
      overdispersion: 0,
      standardError: Math.sqrt(0.25 / 40),
    });
  });

  it("is the plain binomial, either way round, where they vary exactly as much as chance makes them", () => {
    const counts = [
      { correct: 2, assessments: 5 },
      { correct: 5, assessments: 7 },
      { correct: 0, assessments: 2 },
    ];
    const mirrored = counts.map(({ correct, assessments }) => ({
      correct: assessments - correct,
      assessments,
    }));
    expect(fitBetaBinomial(counts)).toMatchObject({ proportion: 0.5, overdispersion: 0 });
    expect(fitBetaBinomial(mirrored)).toEqual(fitBetaBinomial(counts));
  });

  it("is one answer a taster where each was always right or always wrong", () => {
    const each = (correct: number) => ({ correct, assessments: 5 });
    const fit = fitBetaBinomial([each(5), each(5), each(5), each(0)]);
    expect(fit).toMatchObject({ proportion: 0.75, overdispersion: 1 });
    expect(fit.standardError).toBeCloseTo(Math.sqrt(0.1875 / 4), 12);
    expect(fit.logLikelihood).toBeCloseTo(3 * Math.log(0.75) + Math.log(0.25), 12);
  });

  it("holds when all are right, or none", () => {
    const all = [
      { correct: 3, assessments: 3 },
      { correct: 4, assessments: 4 },
    ];
    expect(fitBetaBinomial(all)).toMatchObject({
      proportion: 1,
      overdispersion: 0,
      logLikelihood: 0,
    });
    const none = all.map(({ assessments }) => ({ correct: 0, assessments }));
    expect(fitBetaBinomial(none)).toMatchObject({ proportion: 0, overdispersion: 0 });
  });
});

describe("a replicated test", () => {
  it("reports no overdispersion, and p 1, when nobody answered twice", () => {
    const once = [1, 0, 1, 1].map((correct) => ({ correct, assessments: 1 }));
    const result = replicatedTest("triangle", once);
    expect(result.betaBinomial.overdispersion).toBeNull();
    expect(result.overdispersionTest).toEqual({ statistic: 0, pValue: 1 });
  });

  it("carries the interval of the mean over to distinguishers, raw", () => {
    const counts = [0, 1, 1, 2].map((correct) => ({ correct, assessments: 4 }));
    const { betaBinomial, proportionDistinguishing } = replicatedTest("triangle", counts, 0.9);
    const toPd = (pc: number) => (pc - 1 / 3) / (2 / 3);
    const half = 1.6448536269514722 * betaBinomial.standardError;
    expect(proportionDistinguishing.estimate).toBeCloseTo(toPd(betaBinomial.proportion), 12);
    expect(proportionDistinguishing.lower).toBeCloseTo(toPd(betaBinomial.proportion - half), 12);
    expect(proportionDistinguishing.estimate).toBeLessThan(0);
  });
});
