import { describe, expect, test } from "vitest";
import { safetyCalculators } from "../../src/calculators/safety.ts";

const caffeineLoad = (input: unknown) => {
  const [calculator] = safetyCalculators;
  if (!calculator) throw new Error("caffeine-load is missing");
  return calculator.run(input);
};

describe("caffeine-load", () => {
  test("takes filter coffee that is swallowed unless told otherwise, and the limit is within", () => {
    expect(caffeineLoad({ cups: 10, millilitresPerCup: 50 })).toEqual({
      ok: true,
      output: {
        milligrams: 200,
        limitMilligrams: 200,
        withinLimit: true,
        source: expect.stringContaining("EFSA"),
      },
    });
  });

  test("names the allowance of a day in pregnancy", () => {
    const outcome = caffeineLoad({ cups: 1, millilitresPerCup: 50, pregnant: true });
    expect(outcome).toMatchObject({ output: { source: expect.stringContaining("pregnancy") } });
  });

  test.each([
    [{ cups: 1.5, millilitresPerCup: 50 }, "cups"],
    [{ cups: -1, millilitresPerCup: 50 }, "cups"],
    [{ cups: 1, millilitresPerCup: 0 }, "millilitresPerCup"],
    [{ cups: 1, millilitresPerCup: 50, swallowedFraction: 1.1 }, "swallowedFraction"],
    [{ cups: 1, millilitresPerCup: 50, milligramsPer100mL: Number.NaN }, "milligramsPer100mL"],
  ])("refuses %j", (input, field) => {
    expect(caffeineLoad(input)).toMatchObject({ ok: false, issues: [{ path: [field] }] });
  });
});
