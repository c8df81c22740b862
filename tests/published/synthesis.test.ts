import { z } from "zod";
import { falseAlarmRate } from "../../src/statistics/sequential.ts";
import { numberOf } from "./arguments.ts";
import { answerTo, calculated } from "./calculated.ts";
import { testPublished } from "./published-checks.ts";

testPublished("synthesis.json", {
  calculator: calculated,
  ratio: (name, path) => Math.exp(calculated(name, path) ?? Number.NaN),
  rejections: (name) => {
    const { adjusted } = adjustedValues.parse(answerTo(z.string().parse(name)));
    return adjusted.filter((p) => p <= 0.05).length;
  },
  falseAlarms: (sides, guessing, from, to, every) =>
    falseAlarmRate({
      guessing: numberOf(guessing),
      sides: z.enum(["one", "two"]).parse(sides),
      alpha: 0.05,
      looks: looks(numberOf(from), numberOf(to), numberOf(every)),
    }),
});

const adjustedValues = z.object({ adjusted: z.array(z.number()) });

function looks(from: number, to: number, every: number): number[] {
  return Array.from({ length: (to - from) / every + 1 }, (_, i) => from + i * every);
}
