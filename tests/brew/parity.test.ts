import { describe, expect, test } from "vitest";
import { brewerParity } from "../../src/brew/parity.ts";

const run = (brewer: string, brewSeconds: number, beverageGrams: number) => {
  return { brewer, brewSeconds, beverageGrams };
};

describe("brewer parity", () => {
  test("passes when the largest and smallest mean differ by exactly the tolerance", () => {
    const runs = [run("North", 240, 340.2), run("South", 250, 350.2)];
    const result = brewerParity(runs, { seconds: 10, grams: 10 });
    expect(result).toMatchObject({ ok: true, passes: true, differences: { seconds: 10 } });
    expect(brewerParity(runs, { seconds: 9.999, grams: 10 })).toMatchObject({ passes: false });
    expect(brewerParity(runs, { seconds: 10, grams: 9.999 })).toMatchObject({ passes: false });
  });

  test("compares means of brewers, not single runs", () => {
    const runs = [run("North", 230, 340), run("North", 250, 340), run("South", 241, 340)];
    const result = brewerParity(runs, { seconds: 10, grams: 10 });
    expect(result).toMatchObject({ differences: { seconds: 1, grams: 0 }, passes: true });
  });

  test("has no interval without repeated runs", () => {
    const result = brewerParity([run("North", 1, 1), run("South", 1, 1)], { seconds: 1, grams: 1 });
    expect(result).toMatchObject({ intervals: { seconds: { estimate: 0, lower: null } } });
  });

  test("gives the pooled two-sample t interval for two brewers", () => {
    // Means 240 and 246, pooled variance 4, two runs each: 6 ± 4.302653 × 2 (t table, 2 df, 97.5 %).
    const runs = [run("N", 238.5857864376269, 300), run("N", 241.4142135623731, 300)];
    const others = [run("S", 244.5857864376269, 300), run("S", 247.4142135623731, 300)];
    const result = brewerParity([...runs, ...others], { seconds: 10, grams: 10 });
    if (!result.ok) throw new Error("two brewers can be compared");
    expect(result.intervals.seconds.lower).toBeCloseTo(6 - 4.302653 * 2, 5);
    expect(result.intervals.seconds.upper).toBeCloseTo(6 + 4.302653 * 2, 5);
  });

  test("refuses a single brewer", () => {
    const runs = [run("North", 240, 340), run("North", 241, 341)];
    const refusal = { ok: false, refusal: "one-brewer" };
    expect(brewerParity(runs, { seconds: 10, grams: 10 })).toEqual(refusal);
  });
});
