import fc from "fast-check";
import { describe, expect, it } from "vitest";
import { discriminationTest } from "../../src/statistics/discrimination.ts";
import { acrossCoffees, heterogeneity } from "../../src/statistics/strata.ts";

const coffees = fc.array(
  fc.integer({ min: 1, max: 30 }).chain((assessments) =>
    fc.record({
      label: fc.constantFrom("Sallow", "Petrel", "Bramble", "Anvil"),
      correct: fc.integer({ min: 0, max: assessments }),
      assessments: fc.constant(assessments),
    }),
  ),
  { minLength: 1, maxLength: 6 },
);

describe("several coffees", () => {
  it("are each tested as if alone, and together as if one", () => {
    fc.assert(
      fc.property(coffees, (counts) => {
        const { each, pooled } = acrossCoffees({ method: "triangle", coffees: counts });
        expect(each).toEqual(
          counts.map((coffee) => ({
            ...coffee,
            ...discriminationTest({ method: "triangle", ...coffee }),
          })),
        );
        expect(pooled.assessments).toBe(
          counts.reduce((sum, coffee) => sum + coffee.assessments, 0),
        );
        const { correct, assessments } = pooled;
        const together = discriminationTest({ method: "triangle", correct, assessments });
        expect(pooled).toEqual({ correct, assessments, ...together });
      }),
    );
  });

  it("keep their order and labels in Holm's adjustment, and never gain by it", () => {
    fc.assert(
      fc.property(coffees, (counts) => {
        const { each, adjusted } = acrossCoffees({ method: "duo-trio", coffees: counts });
        expect(adjusted.map(({ label }) => label)).toEqual(counts.map(({ label }) => label));
        for (const [i, { pValue }] of adjusted.entries()) {
          expect(pValue).toBeGreaterThanOrEqual(each[i]?.pValue ?? 1);
        }
      }),
    );
  });

  it("show no heterogeneity when all have the same share, and none can be had from one", () => {
    const same = [4, 8, 12].map((n) => ({ correct: n / 4, assessments: n }));
    expect(heterogeneity(same)).toEqual({ statistic: 0, df: 2, pValue: 1 });
    expect(heterogeneity([{ correct: 3, assessments: 9 }])).toEqual({
      statistic: null,
      df: 0,
      pValue: null,
    });
  });

  it("have none to show when all are correct, or none", () => {
    const all = [5, 7].map((n) => ({ correct: n, assessments: n }));
    expect(heterogeneity(all)).toEqual({ statistic: null, df: 1, pValue: null });
    const none = [5, 7].map((n) => ({ correct: 0, assessments: n }));
    expect(heterogeneity(none)).toEqual({ statistic: null, df: 1, pValue: null });
  });
});
