import { describe, expect, it } from "vitest";
import { binomialUpperTail } from "../../src/statistics/distributions.ts";
import { falseAlarmRate } from "../../src/statistics/sequential.ts";

describe("looking early", () => {
  const pairs = { guessing: 0.5, sides: "two", alpha: 0.05 } as const;
  const everyAnswer = Array.from({ length: 40 }, (_, i) => i + 1);

  it("with one look at the end is the test's own attained level", () => {
    const attained = 2 * binomialUpperTail(27, 40, 0.5);
    expect(falseAlarmRate({ ...pairs, looks: [40] })).toBeCloseTo(attained, 14);
    expect(falseAlarmRate({ ...pairs, looks: [] })).toBe(0);
  });

  it("never lowers the false-alarm rate, and more looks raise it", () => {
    const rates = [[40], [20, 40], [10, 20, 30, 40], everyAnswer].map((looks) =>
      falseAlarmRate({ ...pairs, looks }),
    );
    expect(rates.toSorted((a, b) => a - b)).toEqual(rates);
  });

  it("agrees with listing all sequences of answers", () => {
    const looks = [6, 8, 10];
    let alarms = 0;
    for (let answers = 0; answers < 2 ** 10; answers++) {
      if (looks.some((look) => alarmsAt(answers, look))) alarms++;
    }
    expect(falseAlarmRate({ ...pairs, looks })).toBeCloseTo(alarms / 2 ** 10, 14);
  });
});

function alarmsAt(answers: number, look: number): boolean {
  const ones = Array.from({ length: look }, (_, i) => (answers >> i) & 1).filter(
    (one) => one,
  ).length;
  return 2 * binomialUpperTail(Math.max(ones, look - ones), look, 0.5) <= 0.05;
}
