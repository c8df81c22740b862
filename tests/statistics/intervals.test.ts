import fc from "fast-check";
import { describe, expect, it } from "vitest";
import { binomialPValue, lowerTail, upperTail } from "../../src/statistics/binomial.ts";
import { binomialProbability } from "../../src/statistics/distributions.ts";
import {
  clopperPearson,
  exactLowerLimit,
  exactUpperLimit,
  type Interval,
  wilson,
} from "../../src/statistics/intervals.ts";

const trials = fc.integer({ min: 1, max: 200 });
const level = fc.double({ min: 0.5, max: 0.999, noNaN: true });
const proportion = fc.double({ min: 0.01, max: 0.99, noNaN: true });

/** A count of successes within n, from any natural number. */
const within = (n: number, at: number) => at % (n + 1);

describe("the Clopper–Pearson interval", () => {
  it("leaves out exactly the proportions that the two-sided exact test rejects", () => {
    fc.assert(
      fc.property(trials, fc.nat(200), level, proportion, (n, at, confidence, p) => {
        const x = within(n, at);
        const { lower, upper } = clopperPearson(x, n, confidence);
        const outside = p < lower || p > upper;
        expect(binomialPValue(x, n, p, "two") < 1 - confidence).toBe(outside);
      }),
    );
  });

  it("agrees with the one-sided test at 1 − 2 alpha", () => {
    fc.assert(
      fc.property(
        trials,
        fc.nat(200),
        fc.double({ min: 0.001, max: 0.4, noNaN: true }),
        proportion,
        (n, at, alpha, p) => {
          const x = within(n, at);
          const { lower } = clopperPearson(x, n, 1 - 2 * alpha);
          expect(binomialPValue(x, n, p, "one") < alpha).toBe(p < lower);
        },
      ),
    );
  });

  it("ends where a tail is alpha", () => {
    fc.assert(
      fc.property(
        trials,
        fc.nat(200),
        fc.double({ min: 1e-6, max: 0.5, noNaN: true }),
        (n, at, alpha) => {
          const x = within(n, at);
          const [low, high] = [exactLowerLimit(x, n, alpha), exactUpperLimit(x, n, alpha)];
          if (x > 0) expect(upperTail(x, n, low) / alpha).toBeCloseTo(1, 8);
          else expect(low).toBe(0);
          if (x < n) expect(lowerTail(x, n, high) / alpha).toBeCloseTo(1, 8);
          else expect(high).toBe(1);
        },
      ),
    );
  });

  it("mirrors when successes and failures change places", () => {
    fc.assert(
      fc.property(trials, fc.nat(200), level, (n, at, confidence) => {
        const x = within(n, at);
        const here = clopperPearson(x, n, confidence);
        const there = clopperPearson(n - x, n, confidence);
        expect(here.lower).toBeCloseTo(1 - there.upper, 13);
        expect(here.upper).toBeCloseTo(1 - there.lower, 13);
      }),
    );
  });

  it("covers at least its level at every proportion, however small the panel", () => {
    for (const n of [1, 5, 12, 30, 75]) {
      for (let p = 0.005; p < 1; p += 0.005) {
        expect(coverage(n, p, clopperPearson)).toBeGreaterThanOrEqual(0.95 - 1e-12);
      }
    }
  });
});

describe("the Wilson interval", () => {
  it("holds its estimate and stays within 0 and 1", () => {
    fc.assert(
      fc.property(trials, fc.nat(200), level, (n, at, confidence) => {
        const x = within(n, at);
        const { estimate, lower, upper } = wilson(x, n, confidence);
        expect(lower).toBeGreaterThanOrEqual(0);
        expect(upper).toBeLessThanOrEqual(1);
        expect(lower).toBeLessThanOrEqual(estimate + 1e-15);
        expect(upper).toBeGreaterThanOrEqual(estimate - 1e-15);
      }),
    );
  });

  it("covers its level on average, though not at every proportion", () => {
    const covered = Array.from({ length: 199 }, (_, i) => coverage(30, (i + 1) / 200, wilson));
    const mean = covered.reduce((sum, value) => sum + value, 0) / covered.length;
    expect(mean).toBeGreaterThan(0.945);
    expect(Math.min(...covered)).toBeLessThan(0.95);
  });
});

function coverage(n: number, p: number, interval: (x: number, n: number) => Interval): number {
  let covered = 0;
  for (let x = 0; x <= n; x += 1) {
    const { lower, upper } = interval(x, n);
    if (lower <= p && p <= upper) covered += binomialProbability(x, n, p);
  }
  return covered;
}
