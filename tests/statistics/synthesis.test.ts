import fc from "fast-check";
import { describe, expect, it } from "vitest";
import { tUpperQuantile } from "../../src/statistics/distributions.ts";
import { randomEffects, type Study } from "../../src/statistics/synthesis.ts";
import { orderKeys, reordered } from "./samples.ts";

const study = fc.record({
  effect: fc.double({ min: -3, max: 3, noNaN: true }),
  variance: fc.double({ min: 0.01, max: 2, noNaN: true }),
});
const studies = fc.array(study, { minLength: 2, maxLength: 9 });
const estimators = fc.constantFrom("dl" as const, "reml" as const);

describe("random-effects synthesis", () => {
  it("does not depend on the order of sessions, and scales with the unit", () => {
    fc.assert(
      fc.property(studies, orderKeys, estimators, (list, keys, estimator) => {
        const before = randomEffects(list, { estimator });
        const shuffled = randomEffects(reordered(list, keys), { estimator });
        expect(shuffled.random.estimate).toBeCloseTo(before.random.estimate, 9);
        const inPercent = randomEffects(
          list.map(({ effect, variance }) => ({ effect: 10 * effect, variance: 100 * variance })),
          { estimator },
        );
        expect(inPercent.random.lower / 10).toBeCloseTo(before.random.lower, 6);
        expect(inPercent.tauSquared / 100).toBeCloseTo(before.tauSquared, 6);
        expect(inPercent.iSquaredPercent).toBeCloseTo(before.iSquaredPercent, 6);
      }),
    );
  });

  it("finds the restricted likelihood's maximum: no other between-session variance is likelier", () => {
    fc.assert(
      fc.property(studies, fc.double({ min: 0, max: 12, noNaN: true }), (list, other) => {
        const { tauSquared } = randomEffects(list);
        expect(restricted(list, other)).toBeLessThanOrEqual(restricted(list, tauSquared) + 1e-9);
      }),
      { numRuns: 300 },
    );
  });

  it("equals the fixed effect when sessions agree better than their errors", () => {
    const list = [1, 1.1, 0.95].map((effect) => ({ effect, variance: 0.5 }));
    const { fixed, random, tauSquared, iSquaredPercent } = randomEffects(list, {
      interval: "normal",
    });
    expect(tauSquared).toBe(0);
    expect(iSquaredPercent).toBe(0);
    expect(random).toEqual(fixed);
  });

  it("of one session is that session", () => {
    const { fixed, random, predictionInterval, q } = randomEffects([{ effect: 2, variance: 0.25 }]);
    expect(random).toEqual(fixed);
    expect(random.standardError).toBe(0.5);
    expect(predictionInterval).toBeNull();
    expect(q).toEqual({ statistic: 0, df: 0, pValue: 1 });
  });

  it("predicts a new session only from three on, wider than the mean's own interval", () => {
    const list = [0.2, 1.4, 2.1, 0.1].map((effect) => ({ effect, variance: 0.1 }));
    expect(randomEffects(list.slice(0, 2)).predictionInterval).toBeNull();
    const { random, predictionInterval, tauSquared } = randomEffects(list);
    const half = tUpperQuantile(0.025, 2) * Math.sqrt(tauSquared + random.standardError ** 2);
    expect(predictionInterval?.upper).toBeCloseTo(random.estimate + half, 12);
    expect(predictionInterval?.lower).toBeLessThan(random.lower);
  });

  it("of two equal variances is the t interval of the two effects", () => {
    const { random } = randomEffects([
      { effect: 1, variance: 0.01 },
      { effect: 3, variance: 0.01 },
    ]);
    expect(random.estimate).toBe(2);
    expect(random.upper).toBeCloseTo(2 + tUpperQuantile(0.025, 1), 12);
  });
});

function restricted(list: readonly Study[], tauSquared: number): number {
  const weights = list.map(({ variance }) => 1 / (variance + tauSquared));
  const sum = weights.reduce((a, b) => a + b, 0);
  const mean = list.reduce((a, { effect }, i) => a + (weights[i] ?? 0) * effect, 0) / sum;
  const logs = weights.reduce((a, w) => a + Math.log(w), 0);
  const squares = list.reduce(
    (a, { effect }, i) => a + (weights[i] ?? 0) * (effect - mean) ** 2,
    0,
  );
  return (logs - Math.log(sum) - squares) / 2;
}
