import fc from "fast-check";
import { describe, expect, it } from "vitest";
import { gridOf, gridOfDifferences } from "../../src/statistics/decimals.ts";
import { type Alternative, signFlip } from "../../src/statistics/randomisation.ts";
import { seeded } from "./chance.ts";
import { differences, orderKeys, reordered } from "./samples.ts";

const p = (values: number[], alternative?: Alternative) => {
  const answer = signFlip(gridOf(values), alternative);
  if (!answer.ok) throw new Error(answer.refusal);
  return answer.pValue;
};

describe("the exact sign-flip test", () => {
  it("is the same in any order, on any scale and with the cups' names exchanged", () => {
    fc.assert(
      fc.property(differences, orderKeys, (values, keys) => {
        const twoSided = p(values);
        expect(p(reordered(values, keys))).toBe(twoSided);
        expect(p(values.map((value) => -value))).toBe(twoSided);
        expect(p(values.map((value) => Number(`${value}e3`)))).toBe(twoSided);
        expect(p(values.map((value) => Number(`${value}e-2`)))).toBe(twoSided);
      }),
    );
  });

  it("has one-sided tails that mirror each other and overlap in the total seen", () => {
    fc.assert(
      fc.property(differences, (values) => {
        const mirrored = values.map((value) => -value);
        expect(p(values, "greater")).toBe(p(mirrored, "less"));
        expect(p(values, "greater") + p(values, "less")).toBeGreaterThan(1);
      }),
    );
  });

  it("is two-sided twice the tail on the side seen, at most 1", () => {
    fc.assert(
      fc.property(differences, (values) => {
        const smaller = Math.min(p(values, "greater"), p(values, "less"));
        expect(p(values)).toBe(Math.min(1, 2 * smaller));
      }),
    );
  });

  it("never goes below the share of one assignment, two of them two-sided", () => {
    expect(p([1, 2, 3, 4, 5])).toBe(2 / 32);
    expect(p([1, 2, 3, 4, 5], "greater")).toBe(1 / 32);
    expect(p([0, 0, 0])).toBe(1);
  });

  it("keeps zeros: they change no probability", () => {
    fc.assert(
      fc.property(differences, (values) => {
        for (const alternative of ["two-sided", "greater", "less"] as const) {
          expect(p([...values, 0, 0], alternative)).toBe(p(values, alternative));
        }
      }),
    );
  });

  it("sees ties of decimals that doubles would break: 0.1 + 0.2 against 0.3", () => {
    expect(p([0.1, 0.2, -0.3])).toBe(1);
    expect(p([0.1, 0.2, 0.3], "greater")).toBe(1 / 8);
    expect(p([0.1, 0.2, -0.3, 0.7])).toBe(p([1, 2, -3, 7]));
  });

  it("answers 10000 pairs of scores of 0..100", () => {
    const chance = seeded(11);
    const score = () => Math.floor(chance.uniform() * 101);
    const pairs = Array.from({ length: 10_000 }, (): [number, number] => [score(), score()]);
    expect(signFlip(gridOfDifferences(pairs))).toEqual({ ok: true, pValue: expect.any(Number) });
  });

  it("refuses a hundred values that differ in the 15th decimal, and says what would help", () => {
    const values = Array.from({ length: 100 }, (_, i) => 0.1 + i * 1.000000001e-5);
    expect(signFlip(gridOf(values))).toEqual({
      ok: false,
      refusal: expect.stringContaining("round to fewer decimals"),
    });
  });
});
