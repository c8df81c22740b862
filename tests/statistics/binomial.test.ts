import fc from "fast-check";
import { describe, expect, it } from "vitest";
import {
  binomialPValue,
  criticalCount,
  criticalCounts,
  lowerTail,
  maximumCount,
  reachesAlpha,
  upperTail,
} from "../../src/statistics/binomial.ts";

const assessments = fc.integer({ min: 1, max: 300 });
const alphaLevel = fc.double({ min: 1e-6, max: 0.5, noNaN: true });
const guess = fc.constantFrom(1 / 3, 1 / 2);

describe("the exact binomial p", () => {
  it("never rises with a further correct answer", () => {
    fc.assert(
      fc.property(assessments, guess, fc.nat(299), (n, p0, at) => {
        const x = at % n;
        expect(binomialPValue(x + 1, n, p0, "one")).toBeLessThanOrEqual(
          binomialPValue(x, n, p0, "one"),
        );
      }),
    );
  });

  it("two-sided is twice the smaller tail, never more than 1, and the same seen from either side", () => {
    fc.assert(
      fc.property(assessments, fc.nat(300), (n, at) => {
        const x = at % (n + 1);
        const p = binomialPValue(x, n, 0.5, "two");
        expect(p).toBeLessThanOrEqual(1);
        expect(p).toBeCloseTo(binomialPValue(n - x, n, 0.5, "two"), 13);
        expect(p).toBe(Math.min(1, 2 * upperTail(x, n, 0.5), 2 * lowerTail(x, n, 0.5)));
      }),
    );
  });

  it("is exact to the last bit where the probabilities are halves", () => {
    expect(upperTail(5, 5, 0.5)).toBe(1 / 32);
    expect(upperTail(4, 5, 0.5)).toBe(6 / 32);
    expect(upperTail(30, 40, 0.5)).toBe(1221246132 / 2 ** 40);
  });
});

describe("the critical count", () => {
  it("is the fewest correct answers with p ≤ alpha", () => {
    fc.assert(
      fc.property(
        assessments,
        guess,
        alphaLevel,
        fc.constantFrom("one", "two"),
        (n, p0, alpha, sides) => {
          const count = criticalCount(n, p0, alpha, sides);
          const factor = sides === "one" ? 1 : 2;
          if (count !== null)
            expect(reachesAlpha(factor * upperTail(count, n, p0), alpha)).toBe(true);
          const before = (count ?? n + 1) - 1;
          expect(factor * upperTail(before, n, p0)).toBeGreaterThan(alpha);
        },
      ),
    );
  });

  it("is null where even all correct are not significant", () => {
    expect(criticalCount(2, 1 / 3, 0.05)).toBeNull();
    expect(criticalCount(5, 1 / 2, 0.05, "two")).toBeNull();
    expect(criticalCount(4, 1 / 2, 0.05)).toBeNull();
  });

  it("counts a p that equals alpha as significant", () => {
    expect(criticalCount(5, 1 / 2, 1 / 32)).toBe(5);
    expect(criticalCount(6, 1 / 2, 1 / 32, "two")).toBe(6);
    expect(criticalCount(3, 0.1, 0.001)).toBe(3);
  });

  it("never falls with more assessments, and never jumps by two", () => {
    fc.assert(
      fc.property(assessments, guess, alphaLevel, (n, p0, alpha) => {
        const now = criticalCount(n, p0, alpha) ?? n + 1;
        const next = criticalCount(n + 1, p0, alpha) ?? n + 2;
        expect([now, now + 1]).toContain(next);
      }),
    );
  });

  it("is the same one by one as in a table", () => {
    for (const sides of ["one", "two"] as const) {
      const rows = criticalCounts(1, 400, 0.5, 0.05, sides);
      expect(rows.map((row) => row.assessments)).toEqual(Array.from(rows, (_, i) => i + 1));
      for (const row of rows) {
        expect(row.criticalCount).toBe(criticalCount(row.assessments, 0.5, 0.05, sides));
      }
    }
  });

  it("never falls with a stricter alpha", () => {
    fc.assert(
      fc.property(assessments, guess, alphaLevel, alphaLevel, (n, p0, one, other) => {
        const strict = criticalCount(n, p0, Math.min(one, other)) ?? n + 1;
        expect(strict).toBeGreaterThanOrEqual(criticalCount(n, p0, Math.max(one, other)) ?? n + 1);
      }),
    );
  });
});

describe("the maximum count of a similarity test", () => {
  it("is the most correct answers with P(X ≤ x) ≤ alpha", () => {
    fc.assert(
      fc.property(
        assessments,
        fc.double({ min: 0.35, max: 0.95, noNaN: true }),
        alphaLevel,
        (n, p, alpha) => {
          const most = maximumCount(n, p, alpha);
          if (most !== null) expect(reachesAlpha(lowerTail(most, n, p), alpha)).toBe(true);
          expect(lowerTail((most ?? -1) + 1, n, p)).toBeGreaterThan(alpha);
        },
      ),
    );
  });
});
