import betainc from "@stdlib/math-base-special-betainc";
import gammainc from "@stdlib/math-base-special-gammainc";
import normalQuantile from "@stdlib/stats-base-dists-normal-quantile";
import jstat from "jstat";
import { cumulativeStdNormalProbability, mean, sampleStandardDeviation } from "simple-statistics";
import { describe, expect, it } from "vitest";
import {
  betaLowerTail,
  binomialUpperTail,
  chiSquareLowerTail,
  noncentralTLowerTail,
  normalLowerQuantile,
  normalLowerTail,
  normalUpperTail,
  tLowerTail,
  tUpperTail,
} from "../../src/statistics/distributions.ts";
import { expectRelative } from "./relative.ts";

/** How accurate the libraries are for what one would be tempted to take from them, and so why tails are our own. */
const { jStat } = jstat;

describe("jstat", () => {
  it("rounds its binomial to ten decimals, so that small tails are noise or nothing", () => {
    const tail = 1 - jStat.binomial.cdf(35, 36, 1 / 3);
    expectRelative(binomialUpperTail(36, 36, 1 / 3), 3 ** -36, 1e-13);
    expect(tail).toBe(0);
  });

  it("has no upper normal tail: one less its cdf is nothing from 9 standard deviations on", () => {
    expect(1 - jStat.normal.cdf(9, 0, 1)).toBe(0);
    expectRelative(normalUpperTail(9), 1.128588405953841e-19, 1e-14);
  });

  it("is good to 1e-8 absolute in the middle of t, and no better in its tail", () => {
    for (const df of [2, 7, 19, 60]) {
      for (const t of [-2, -0.5, 0.3, 1.8]) {
        expect(Math.abs(jStat.studentt.cdf(t, df) - tLowerTail(t, df))).toBeLessThan(1e-8);
      }
    }
    const far = 1 - jStat.studentt.cdf(60, 12);
    expect(Math.abs(far / tUpperTail(60, 12) - 1)).toBeGreaterThan(0.01);
  });

  it("has a normal density to 1e-14, far out too, which is why ours is jstat's", () => {
    // Reference: R 4.2.2, dnorm(c(0, 1, 5, 20, 30)) printed to 17 digits.
    const density = [
      [0, 0.3989422804014327],
      [1, 0.24197072451914337],
      [5, 1.4867195147342977e-6],
      [20, 5.520948362159764e-88],
      [30, 1.4736461348785476e-196],
    ] as const;
    for (const [z, exact] of density) expectRelative(jStat.normal.pdf(z, 0, 1), exact, 2e-14);
  });

  it("misses 1e-8 in the noncentral t, even where symmetry makes it a half", () => {
    expect(Math.abs(jStat.noncentralt.cdf(0, 500, 0) - 0.5)).toBeGreaterThan(1e-8);
    expect(Math.abs(noncentralTLowerTail(0, 500, 0) - 0.5)).toBeLessThan(1e-15);
  });
});

describe("simple-statistics", () => {
  it("reads the normal cdf from a table: four digits", () => {
    const errors = [0.123, 0.5551, 1.2345, 1.9599].map((z) =>
      Math.abs(cumulativeStdNormalProbability(z) - normalLowerTail(z)),
    );
    expect(Math.max(...errors)).toBeGreaterThan(1e-5);
    expect(Math.max(...errors)).toBeLessThan(2e-3);
  });
});

describe("simple-statistics' mean and standard deviation", () => {
  it("are exact enough for brew readings, and lose digits only where values hardly differ", () => {
    expectRelative(mean([1.38, 1.39, 1.38]), 4.15 / 3, 1e-15);
    expectRelative(sampleStandardDeviation([1.38, 1.39, 1.38]), Math.sqrt(1 / 30000), 1e-12);
    // NIST StRD NumAcc4: 10000000.1 to 10000000.3 in turn, certified standard deviation 0.1.
    const turns = Array.from({ length: 1001 }, (_, at) =>
      at === 0 ? 1e7 + 0.2 : 1e7 + (at % 2 ? 0.1 : 0.3),
    );
    const error = Math.abs(sampleStandardDeviation(turns) / 0.1 - 1);
    expect(error).toBeLessThan(1e-6);
    expect(error).toBeGreaterThan(1e-12);
  });
});

describe("@stdlib", () => {
  it("has an incomplete beta to 1e-12, which is what tails here rest on", () => {
    // Reference: closed form of I_x(a, 1).
    for (const a of [0.5, 3, 40, 900]) {
      expectRelative(betainc(0.9, a, 1, true, false), 0.9 ** a, 1e-12);
    }
  });

  it("loses digits of it with large shapes: Laplace's 1.15e-42 to 1e-11, ours to 1e-13", () => {
    // Reference: 40-digit sum (mpmath) of the births of Paris, 251,527 boys and 241,945 girls.
    const exact = 1.146058490155338e-42;
    expectRelative(betaLowerTail(0.5, 251528, 241946), exact, 1e-13);
    expect(Math.abs(betainc(0.5, 251528, 241946, true, false) / exact - 1)).toBeGreaterThan(5e-12);
  });

  it("is off by a percent or more in the incomplete gamma with large shapes, so chi-square has its own", () => {
    // Reference: R 4.2.2, pchisq(1e4, 1e4).
    expectRelative(chiSquareLowerTail(1e4, 1e4), 0.5018806340338174, 1e-12);
    expect(Math.abs(gammainc(5000, 5000) / 0.5018806340338174 - 1)).toBeGreaterThan(0.01);
  });

  it("has no normal quantile below 1e-16", () => {
    expect(normalQuantile(1e-20, 0, 1)).toBe(Number.NEGATIVE_INFINITY);
    // Reference: R 4.2.2, qnorm(1e-20).
    expectRelative(normalLowerQuantile(1e-20), -9.262340089798409, 1e-14);
  });
});
