import { describe, expect, it } from "vitest";
import { equivalencePower, equivalenceSize } from "../../src/report/planning/equivalence-power.ts";
import { varyingPots } from "../../src/report/planning/false-alarms.ts";

describe("power of two one-sided paired t tests", () => {
  // Exact TOST power (Owen 1965; Phillips 1990), recomputed with scipy to 1e-8.
  it.each([
    { margin: 0.5, sd: 1, pairs: 30, difference: 0, power: 0.6965086141640469 },
    { margin: 0.5, sd: 1, pairs: 36, difference: 0, power: 0.8051491016577353 },
    { margin: 1, sd: 1.5, pairs: 20, difference: 0.2, power: 0.7076212998978684 },
  ])("is $power for $pairs pairs, SD $sd, margin ±$margin", ({ power, ...plan }) => {
    expect(Math.abs(equivalencePower({ ...plan, alpha: 0.05 }) - power)).toBeLessThan(1e-8);
  });

  it("needs 36 pairs for 80 % at SD 1 and a margin of a half, as the exact tables say", () => {
    expect(equivalenceSize({ margin: 0.5, sd: 1, alpha: 0.05 }, 0.8)).toBe(36);
  });

  it("passes equal yields within ±0.5 points 87 % of the time with 8 pairs of SD 0.4", () => {
    // Own planning numbers, no source: 8 pairs at SD 0.4 (87 %), 10 at SD 0.5 (79.5 %).
    const margin = { margin: 0.5, alpha: 0.05 };
    expect(equivalencePower({ ...margin, sd: 0.4, pairs: 8 })).toBeCloseTo(0.87, 2);
    expect(equivalencePower({ ...margin, sd: 0.5, pairs: 10 })).toBeCloseTo(0.795, 3);
  });

  it("is nothing with a single pair, which has no spread", () => {
    expect(equivalencePower({ margin: 9, sd: 1, pairs: 1, alpha: 0.05 })).toBe(0);
  });
});

describe("false alarms of the cups claim when pots vary by themselves", () => {
  const onePair = { answersPerPair: 24, pairs: 1, level: 0.05, sides: "two" } as const;

  it("is 19 % for 24 tasters on one pair at 0.6 logit, as simulated over 200,000 panels", () => {
    expect(varyingPots({ ...onePair, potSdLogit: 0.6 })?.rate).toBeCloseTo(0.19, 2);
  });

  it("is the exact test's own size when pots are alike: 2.27 % for 18 of 24", () => {
    // 2 × P(X ≥ 18 | 24, ½) = 2 × 190,051 / 2^24.
    expect(varyingPots({ ...onePair, potSdLogit: 0 })?.rate).toBeCloseTo(
      (2 * 190_051) / 2 ** 24,
      7,
    );
  });

  it("says nothing where no outcome can show a difference", () => {
    expect(varyingPots({ ...onePair, answersPerPair: 5, potSdLogit: 0.6 })).toBeNull();
  });

  it("is not computed where it would hold up a page", () => {
    const huge = { ...onePair, answersPerPair: 2400, pairs: 100, potSdLogit: 0.6 };
    expect(varyingPots(huge)).toBeNull();
  });
});
