import fc from "fast-check";
import { describe, expect, it } from "vitest";
import * as d from "../../src/statistics/distributions.ts";
import { expectRelative } from "./relative.ts";

/** The accuracy that the program promises of every distribution. */
const PROMISED = 1e-10;

const probability = fc.double({ min: 1e-300, max: 1 - 1e-9, noNaN: true });
const exponent = fc.double({ min: -290, max: -0.31, noNaN: true });
const tailArea = exponent.map((power) => 10 ** power);
const shape = fc.double({ min: 0.5, max: 400, noNaN: true });
const df = fc.double({ min: 1, max: 500, noNaN: true });
const z = fc.double({ min: -37, max: 37, noNaN: true });
const unit = fc.double({ min: 1e-6, max: 1 - 1e-6, noNaN: true });
const positive = fc.double({ min: 1e-3, max: 1e3, noNaN: true });

describe("tails", () => {
  it("add up to one", () => {
    fc.assert(
      fc.property(z, unit, positive, shape, df, (at, x, f, a, nu) => {
        const sums = [
          d.normalLowerTail(at) + d.normalUpperTail(at),
          d.tLowerTail(at, nu) + d.tUpperTail(at, nu),
          d.betaLowerTail(x, a, nu) + d.betaUpperTail(x, a, nu),
          d.chiSquareLowerTail(f, nu) + d.chiSquareUpperTail(f, nu),
          d.fLowerTail(f, a, nu) + d.fUpperTail(f, a, nu),
          d.noncentralTLowerTail(at / 5, nu, f / 500) + d.noncentralTUpperTail(at / 5, nu, f / 500),
        ];
        for (const sum of sums) expect(sum).toBeCloseTo(1, 12);
      }),
    );
  });

  it("mirror each other where the distribution is symmetric", () => {
    fc.assert(
      fc.property(z, df, (at, nu) => {
        expect(d.normalLowerTail(at)).toBe(d.normalUpperTail(-at));
        expect(d.tLowerTail(at, nu)).toBe(d.tUpperTail(-at, nu));
      }),
    );
  });

  it("are the closed forms in the cases that have one", () => {
    fc.assert(
      fc.property(unit, shape, positive, (x, a, f) => {
        expectRelative(d.betaLowerTail(x, a, 1), x ** a, 1e-11);
        expectRelative(d.chiSquareUpperTail(f / 5, 2), Math.exp(-f / 10), 1e-12);
        expectRelative(d.tUpperTail(f, 1), Math.atan(1 / f) / Math.PI, 1e-12);
        expectRelative(d.fUpperTail(f, 2, 2 * a), (1 + f / a) ** -a, 1e-11);
      }),
    );
  });

  it("know that F with one numerator degree of freedom is t squared", () => {
    fc.assert(
      fc.property(positive, df, (t, nu) => {
        expectRelative(d.fUpperTail(t * t, 1, nu), 2 * d.tUpperTail(t, nu), 1e-11);
      }),
    );
  });

  it("of the noncentral t without noncentrality are Student's", () => {
    fc.assert(
      fc.property(fc.double({ min: -30, max: 30, noNaN: true }), df, (t, nu) => {
        expectRelative(d.noncentralTUpperTail(t, nu, 0), d.tUpperTail(t, nu), 1e-11);
      }),
    );
  });

  it("of the binomial step by the probability of each count", () => {
    fc.assert(
      fc.property(fc.integer({ min: 1, max: 400 }), unit, fc.nat(400), (n, p, at) => {
        const x = at % (n + 1);
        const difference = d.binomialUpperTail(x, n, p) - d.binomialUpperTail(x + 1, n, p);
        expect(difference).toBeCloseTo(d.binomialProbability(x, n, p), 12);
        expectRelative(
          d.binomialLowerTail(x, n, p),
          1 - d.binomialUpperTail(x + 1, n, p),
          1e-12,
          1e-3,
        );
      }),
    );
  });

  it("reach 1e-300 without rounding to nothing", () => {
    expectRelative(d.binomialUpperTail(996, 996, 0.5), 2 ** -996, 1e-13);
    expectRelative(d.tUpperTail(1e299, 1), 1e-299 / Math.PI, 1e-12);
    expectRelative(d.tUpperTail(1e100, 3), (2 * Math.sqrt(3)) / (Math.PI * 1e300), 1e-12);
    expectRelative(d.chiSquareUpperTail(1380, 2), Math.exp(-690), 1e-12);
    expectRelative(d.betaLowerTail(1e-100, 3, 1), 1e-300, 1e-12);
  });

  it("keep ln of the normal tail where the tail itself is out of range", () => {
    // Mills' ratio at 100: ln(φ(100)/100 (1 − 1e-4 + 3e-8 − 15e-12)).
    const log =
      -5000 - 0.5 * Math.log(2 * Math.PI) - Math.log(100) + Math.log(1 - 1e-4 + 3e-8 - 15e-12);
    expectRelative(d.normalLogLowerTail(-100), log, 1e-14);
  });
});

describe("quantiles", () => {
  it("lead back to their probability, whichever tail it is", () => {
    fc.assert(
      fc.property(tailArea, shape, df, (q, a, nu) => {
        expectRelative(d.normalUpperTail(d.normalUpperQuantile(q)), q, PROMISED);
        expectRelative(d.tUpperTail(d.tUpperQuantile(q, nu), nu), q, PROMISED);
        expectRelative(d.chiSquareUpperTail(d.chiSquareUpperQuantile(q, nu), nu), q, PROMISED);
        const x = d.betaLowerQuantile(q, a, nu);
        fc.pre(x > 1e-300);
        expectRelative(d.betaLowerTail(x, a, nu), q, PROMISED);
        const f = d.fUpperQuantile(q, a, nu);
        fc.pre(f < 1e290);
        expectRelative(d.fUpperTail(f, a, nu), q, PROMISED);
      }),
    );
  });

  it("rise with the probability", () => {
    fc.assert(
      fc.property(probability, probability, shape, df, (p, r, a, nu) => {
        const [low, high] = p < r ? [p, r] : [r, p];
        expect(d.normalLowerQuantile(low)).toBeLessThanOrEqual(d.normalLowerQuantile(high));
        expect(d.betaLowerQuantile(low, a, nu)).toBeLessThanOrEqual(
          d.betaLowerQuantile(high, a, nu),
        );
        expect(d.chiSquareLowerQuantile(low, nu)).toBeLessThanOrEqual(
          d.chiSquareLowerQuantile(high, nu),
        );
      }),
    );
  });

  it("of the binomial are the first count that reaches the probability", () => {
    fc.assert(
      fc.property(fc.integer({ min: 1, max: 300 }), unit, unit, (n, success, p) => {
        const x = d.binomialLowerQuantile(p, n, success);
        expect(d.binomialLowerTail(x, n, success)).toBeGreaterThanOrEqual(p * (1 - 1e-13));
        expect(d.binomialLowerTail(x - 1, n, success)).toBeLessThan(p);
        const y = d.binomialUpperQuantile(p, n, success);
        expect(d.binomialUpperTail(y + 1, n, success)).toBeLessThanOrEqual(p * (1 + 1e-13));
        expect(d.binomialUpperTail(y, n, success)).toBeGreaterThan(p);
      }),
    );
  });

  it("of t follow the power law of its tail where R is off by a percent", () => {
    // P(T > t) → Γ((ν + 1)/2) ν^(ν/2 − 1) / (√π Γ(ν/2)) t^(−ν), ν = 3: 2√3/π t⁻³.
    const t = d.tUpperQuantile(1e-300, 3);
    expectRelative(t, ((2 * Math.sqrt(3)) / Math.PI / 1e-300) ** (1 / 3), 1e-12);
    // Reference of mpmath, 40 digits, for ν = 1.5 at 1e-200; R 4.2.2 answers 1.1357859e133.
    expectRelative(d.tUpperQuantile(1e-200, 1.5), 1.1245005997832135e133, 1e-12);
  });

  it("answer the ends and refuse what is no probability", () => {
    expect(d.normalLowerQuantile(0)).toBe(Number.NEGATIVE_INFINITY);
    expect(d.normalLowerQuantile(1)).toBe(Number.POSITIVE_INFINITY);
    expect(d.betaLowerQuantile(0, 2, 3)).toBe(0);
    expect(d.betaLowerQuantile(1, 2, 3)).toBe(1);
    expect(d.chiSquareUpperQuantile(0, 4)).toBe(Number.POSITIVE_INFINITY);
    expect(d.normalLowerQuantile(1.1)).toBeNaN();
    expect(d.betaLowerQuantile(-0.1, 2, 3)).toBeNaN();
    expect(d.chiSquareLowerQuantile(Number.NaN, 3)).toBeNaN();
  });
});
