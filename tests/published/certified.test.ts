import { z } from "zod";
import { answer, answerTo, valueAt } from "./calculated.ts";
import { digitsOfPi } from "./pi.ts";
import { testPublished } from "./published-checks.ts";

testPublished("certified.json", {
  certifiedSample: (name, path) => valueAt(sample(z.string().parse(name)), String(path)),
  certifiedVariance: (name, row) => varianceRow(z.string().parse(name), String(row)),
});

function sample(name: string): unknown {
  const values = generatedSample(name);
  return values ? answer("describe", { values }) : answerTo(name);
}

/** Data sets that NIST describes by a rule. */
function generatedSample(name: string): number[] | undefined {
  if (name === "PiDigits") return digitsOfPi(5000).with(956, 3);
  if (name === "NumAcc1") return [10000001, 10000003, 10000002];
  if (name === "NumAcc2") return alternating("1");
  if (name === "NumAcc3") return alternating("1000000");
  if (name === "NumAcc4") return alternating("10000000");
  return undefined;
}

function alternating(whole: string): number[] {
  const pairs = Array.from({ length: 500 }, () => [Number(`${whole}.1`), Number(`${whole}.3`)]);
  return [Number(`${whole}.2`), ...pairs.flat()];
}

const row = z.object({ df: z.number(), meanSquare: z.number() });
const twoWay = z.object({
  treatment: row.extend({ errorDf: z.number() }),
  block: row,
  errorMeanSquare: z.number(),
});

/**
 * The certified analyses are one-way. With the replicates as blocks, the sums of squares of block and error add up to
 * the certified one within treatments, and that of treatments is the certified one between them.
 */
function varianceRow(name: string, which: string): number {
  const blocks = simonLesage(name);
  const output = blocks ? answer("two-way", { blocks }) : answerTo(name);
  const { treatment, block, errorMeanSquare } = twoWay.parse(output);
  const squares = block.meanSquare * block.df + errorMeanSquare * treatment.errorDf;
  const within = squares / (block.df + treatment.errorDf);
  if (which === "between") return treatment.meanSquare;
  return which === "within" ? within : treatment.meanSquare / within;
}

/** Simon & Lesage (1989): nine treatments; constant leading digits 0, 6 and 12; 21, 201 or 2001 replicates. */
function simonLesage(name: string): number[][] | undefined {
  const number = /^SmLs0([1-9])$/.exec(name)?.[1];
  if (number === undefined) return undefined;
  const set = Number(number) - 1;
  const whole = ["1", "1000000", "1000000000000"][Math.floor(set / 3)];
  const replicates = [21, 201, 2001][set % 3] ?? 0;
  const centres = [4, 3, 5, 3, 5, 3, 5, 3, 5];
  return Array.from({ length: replicates }, (_, i) => {
    const shift = i === 0 ? 0 : i % 2 === 1 ? -1 : 1;
    return centres.map((tenth) => Number(`${whole}.${tenth + shift}`));
  });
}
