import { execFileSync } from "node:child_process";
import { existsSync } from "node:fs";
import { bench, describe } from "vitest";
import { gridOf, gridOfDifferences } from "../../src/statistics/decimals.ts";
import { discriminationTest } from "../../src/statistics/discrimination.ts";
import { panelSize } from "../../src/statistics/panel-size.ts";
import { signFlip } from "../../src/statistics/randomisation.ts";
import { signedRank } from "../../src/statistics/rank.ts";
import { seeded } from "../statistics/chance.ts";

/** Run by `vitest bench`. Each group starts with what this machine does in a plain loop, to read the rest against. */
const once = { iterations: 3, time: 0, warmupIterations: 1, warmupTime: 0 };

describe("the machine's limits", () => {
  bench("10 million additions in one typed array", () => void additions(10_000_000), once);
  bench("1 million sines", () => void sines(1_000_000), once);
});

describe.each([100, 1_000, 10_000])("%i pairs of scores of 0..100", (pairs) => {
  const scores = gridOfDifferences(randomPairs(pairs));
  const continuous = gridOf(randomPairs(pairs).map(([a, b], i) => a - b + (i + 1) / 65_536));
  bench("sign flips", () => required(signFlip(scores)), once);
  bench("signed rank, tied", () => required(signedRank(scores).probability), once);
  bench("signed rank, no two alike", () => required(signedRank(continuous).probability), once);
});

describe("panel size", () => {
  const search = (power: number, proportionDistinguishing: number) => () => {
    const answer = panelSize({
      method: "triangle",
      goal: "difference",
      power,
      effect: { proportionDistinguishing },
    });
    if (!answer) throw new Error("No panel found");
  };
  bench("triangle, 30 % distinguishers, power .9", search(0.9, 0.3), once);
  bench("triangle, 3 % distinguishers, power .9", search(0.9, 0.03), once);
});

describe("100,000 discrimination tests", () => {
  const tests = Array.from({ length: 100_000 }, (_, i) => {
    const assessments = 40 + (i % 500);
    const correct = Math.round(assessments * (0.3 + 0.4 * (i / 100_000)));
    return { method: "triangle" as const, assessments, correct };
  });
  bench("in memory", () => tests.forEach((test) => void discriminationTest(test)), {
    ...once,
    iterations: 1,
    warmupIterations: 0,
  });
  const program = new URL("../../dist/server/cli.js", import.meta.url).pathname;
  const lines = tests.map((test) => JSON.stringify(test)).join("\n");
  bench.skipIf(!existsSync(program))(
    "through the command line, --lines",
    () => {
      const args = [program, "calc", "discrimination-test", "--lines"];
      const answers = execFileSync(process.execPath, args, { input: lines, maxBuffer: 2 ** 30 });
      if (answers.toString().trimEnd().split("\n").length !== tests.length) {
        throw new Error("Lines went missing");
      }
    },
    { ...once, iterations: 1, warmupIterations: 0 },
  );
});

function additions(count: number): number {
  const cells = new Float64Array(1_000_001);
  for (let round = 0; round < count / 1_000_000; round++) {
    for (let i = 1_000_000; i >= 1; i--) cells[i] = 0.5 * ((cells[i] ?? 0) + (cells[i - 1] ?? 0));
  }
  return cells[0] ?? 0;
}

function sines(count: number): number {
  let sum = 0;
  for (let i = 0; i < count; i++) sum += Math.sin(i);
  return sum;
}

function randomPairs(count: number): [number, number][] {
  const chance = seeded(2025);
  const score = () => Math.floor(chance.uniform() * 101);
  return Array.from({ length: count }, () => [score(), score()]);
}

function required(answer: { ok: boolean }): void {
  if (!answer.ok) throw new Error("Refused");
}
