import { execFileSync } from "node:child_process";
import { gridOf, gridOfDifferences } from "../../src/statistics/decimals.ts";
import { panelSize } from "../../src/statistics/panel-size.ts";
import { signFlip } from "../../src/statistics/randomisation.ts";
import { signedRank } from "../../src/statistics/rank.ts";
import { seeded } from "../statistics/chance.ts";

/**
 * How long the exact tests take, beside what this machine does in a plain loop in the same run. Compiled, since a
 * test runner's module loading would be measured with it: tsc -p tests/bench, node dist/bench/tests/bench/statistics.js,
 * after npm run build for the last row.
 */
const TESTS = 100_000;

report("machine: 10 million additions in a typed array", () => additions(10_000_000));
report("machine: 10 million sines", () => sines(10_000_000));
report("machine: 100,000 small objects through JSON", () => throughJson(TESTS));

for (const pairs of [100, 1_000, 10_000]) {
  const scores = gridOfDifferences(randomPairs(pairs));
  const untied = gridOf(randomPairs(pairs).map(([a, b], i) => a - b + (i + 1) / 65_536));
  report(`sign flips, ${pairs} pairs of scores of 0..100`, () => required(signFlip(scores)));
  report(`signed rank, ${pairs} pairs of scores of 0..100`, () =>
    required(signedRank(scores).probability),
  );
  report(`signed rank, ${pairs} pairs, no two alike`, () =>
    required(signedRank(untied).probability),
  );
}

for (const proportionDistinguishing of [0.3, 0.03]) {
  const share = `${100 * proportionDistinguishing} % distinguishers, power .9`;
  report(`panel size, triangle, ${share}`, () => {
    const effect = { proportionDistinguishing };
    if (!panelSize({ method: "triangle", goal: "difference", power: 0.9, effect }))
      throw new Error();
  });
}

report(`calc discrimination-test --lines, ${TESTS} lines, start of the program included`, () => {
  const program = new URL("../../../server/cli.js", import.meta.url).pathname;
  const args = [program, "calc", "discrimination-test", "--lines"];
  const answers = execFileSync(process.execPath, args, { input: lines(), maxBuffer: 2 ** 30 });
  if (answers.toString().trimEnd().split("\n").length !== TESTS)
    throw new Error("Lines are missing");
});

/** The middle of three times, in milliseconds. */
function report(what: string, run: () => unknown): void {
  const times = [0, 1, 2].map(() => {
    const start = performance.now();
    run();
    return performance.now() - start;
  });
  const [, middle = 0] = times.sort((a, b) => a - b);
  process.stdout.write(`${middle.toFixed(1).padStart(10)} ms  ${what}\n`);
}

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

function throughJson(count: number): number {
  let length = 0;
  for (let i = 0; i < count; i++) {
    const text = JSON.stringify({ method: "triangle", assessments: i, correct: i / 2 });
    length += JSON.stringify(JSON.parse(text)).length;
  }
  return length;
}

function randomPairs(count: number): [number, number][] {
  const chance = seeded(2025);
  const score = () => Math.floor(chance.uniform() * 101);
  return Array.from({ length: count }, () => [score(), score()]);
}

/** All different, from a third correct, where guessing is, to two thirds. */
function lines(): string {
  return Array.from({ length: TESTS }, (_, i) => {
    const assessments = 40 + (i % 500);
    const correct = Math.round((assessments * (1 + i / TESTS)) / 3);
    return JSON.stringify({ method: "triangle", assessments, correct });
  }).join("\n");
}

function required(answer: { ok: boolean }): void {
  if (!answer.ok) throw new Error("Refused");
}
