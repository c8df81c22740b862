import fc from "fast-check";
import { describe, expect, it } from "vitest";
import { enumerateLowerTail } from "../../src/statistics/subset-enumeration.ts";
import { planInversion, runInversion } from "../../src/statistics/subset-inversion.ts";
import { planProgram, runProgram } from "../../src/statistics/subset-program.ts";
import { subsetSumLowerTail } from "../../src/statistics/subset-sum.ts";
import { seeded } from "./chance.ts";

describe("the sum of weights that each enter by a fair coin", () => {
  it("has the tail that listing all subsets gives, by either exact way", () => {
    const weights = fc.array(fc.integer({ min: 1, max: 50 }), { minLength: 1, maxLength: 12 });
    fc.assert(
      fc.property(weights, fc.double({ min: 0, max: 1, noNaN: true }), (sizes, share) => {
        const limit = Math.floor(share * total(sizes));
        const listed = listAll(sizes, limit);
        expect(runProgram(planProgram(sizes, limit))).toBe(listed);
        expect(enumerateLowerTail(sizes.map(BigInt), BigInt(limit))).toBe(listed);
        expect(subsetSumLowerTail(sizes.map(BigInt), BigInt(limit))).toEqual({
          ok: true,
          pValue: listed,
        });
      }),
    );
  });

  it("has the same tail from the transform as from the program, 1e-11 relative, out to 15 deviations", () => {
    const chance = seeded(3);
    for (const [count, largest, deviations] of transformCases) {
      const weights = Array.from(
        { length: count },
        () => 1 + Math.floor(chance.uniform() * largest),
      );
      const spread = Math.sqrt(total(weights.map((weight) => weight ** 2))) / 2;
      const limit = Math.floor(total(weights) / 2 - deviations * spread - 1);
      const program = runProgram(planProgram(weights, limit));
      const inverted = runInversion(planInversion(weights, limit));
      expect(Math.abs(inverted / program - 1), `${count} × 1..${largest}`).toBeLessThan(1e-11);
    }
  });

  it("has the same tail from the transform where most weights share a divisor that one breaks", () => {
    const weights = [1, ...new Array<number>(200).fill(6)];
    const program = runProgram(planProgram(weights, 500));
    expect(Math.abs(runInversion(planInversion(weights, 500)) / program - 1)).toBeLessThan(1e-11);
  });

  it("keeps its digits down to the smallest double", () => {
    const ones = new Array<bigint>(1060).fill(7n);
    expect(subsetSumLowerTail(ones, 0n)).toEqual({ ok: true, pValue: 2 ** -1060 });
    expect(subsetSumLowerTail(ones, 7n)).toEqual({ ok: true, pValue: 1061 * 2 ** -1060 });
  });

  it("takes sums of any size while the weights are few", () => {
    const huge = [10n ** 40n, 10n ** 40n + 1n, 3n];
    expect(subsetSumLowerTail(huge, 10n ** 40n)).toEqual({ ok: true, pValue: 3 / 8 });
  });

  it("is refused with the reason where no exact way is left", () => {
    const weights = Array.from({ length: 60 }, (_, i) => 10n ** 15n + BigInt(i * i));
    expect(subsetSumLowerTail(weights, 29n * 10n ** 15n)).toEqual({
      ok: false,
      refusal: expect.stringMatching(/60 values .* out of reach, and none is guessed/),
    });
  });
});

const transformCases = [
  [60, 300, 0],
  [150, 40, 1],
  [150, 40, 3],
  [400, 100, 6],
  [400, 100, 15],
  [3000, 60, 2],
] as const;

function total(sizes: readonly number[]): number {
  return sizes.reduce((sum, size) => sum + size, 0);
}

function listAll(sizes: readonly number[], limit: number): number {
  let within = 0;
  for (let subset = 0; subset < 2 ** sizes.length; subset++) {
    if (total(sizes.filter((_, i) => subset & (1 << i))) <= limit) within++;
  }
  return within / 2 ** sizes.length;
}
