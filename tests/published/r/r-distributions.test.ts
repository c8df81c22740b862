import { readFileSync } from "node:fs";
import { describe, expect, it } from "vitest";
import { z } from "zod";
import * as d from "../../../src/statistics/distributions.ts";

const fixture = z
  .object({
    source: z.string(),
    axes: z.record(z.string(), z.array(z.number())),
    lines: z.record(z.string(), z.string()),
  })
  .catchall(z.array(z.number().nullable()));

/** What the program promises against R: relative agreement. */
const AGREEMENT = 1e-10;
/** Below the normal doubles digits run out on either side. */
const SMALLEST = 1e-300;

type Point = (name: string) => number;
type Columns = Record<string, (at: Point) => number>;

const count = (at: Point) => Math.round(at("share") * at("n"));

const families: Record<string, Columns> = {
  normal: {
    lower: (at) => d.normalLowerTail(at("z")),
    upper: (at) => d.normalUpperTail(at("z")),
    logLower: (at) => d.normalLogLowerTail(at("z")),
  },
  "normal-quantile": { lower: (at) => d.normalLowerQuantile(at("p")) },
  t: {
    lower: (at) => d.tLowerTail(at("t"), at("df")),
    upper: (at) => d.tUpperTail(at("t"), at("df")),
  },
  "t-quantile": { upper: (at) => d.tUpperQuantile(at("q"), at("df")) },
  "noncentral-t": {
    lower: (at) => d.noncentralTLowerTail(at("t"), at("df"), at("ncp")),
    upper: (at) => d.noncentralTUpperTail(at("t"), at("df"), at("ncp")),
  },
  "chi-square": {
    lower: (at) => d.chiSquareLowerTail(at("ratio") * at("df"), at("df")),
    upper: (at) => d.chiSquareUpperTail(at("ratio") * at("df"), at("df")),
  },
  "chi-square-quantile": {
    lower: (at) => d.chiSquareLowerQuantile(at("p"), at("df")),
    upper: (at) => d.chiSquareUpperQuantile(at("p"), at("df")),
  },
  f: {
    lower: (at) => d.fLowerTail(at("f"), at("df1"), at("df2")),
    upper: (at) => d.fUpperTail(at("f"), at("df1"), at("df2")),
  },
  "f-quantile": { upper: (at) => d.fUpperQuantile(at("q"), at("df1"), at("df2")) },
  beta: {
    lower: (at) => d.betaLowerTail(at("x"), at("a"), at("b")),
    upper: (at) => d.betaUpperTail(at("x"), at("a"), at("b")),
  },
  "beta-quantile": {
    lower: (at) => d.betaLowerQuantile(at("p"), at("a"), at("b")),
    upper: (at) => d.betaUpperQuantile(at("p"), at("a"), at("b")),
  },
  binomial: {
    lower: (at) => d.binomialLowerTail(count(at), at("n"), at("p")),
    upper: (at) => d.binomialUpperTail(count(at), at("n"), at("p")),
    probability: (at) => d.binomialProbability(count(at), at("n"), at("p")),
  },
  "binomial-quantile": {
    lower: (at) => d.binomialLowerQuantile(at("p"), at("n"), at("success")),
    upper: (at) => d.binomialUpperQuantile(at("p"), at("n"), at("success")),
  },
};

describe.each(Object.entries(families))("%s", (name, columns) => {
  const reference = read(name);
  const points = grid(reference.axes);

  it(`is compared at more than a thousand points with ${reference.source}`, () => {
    expect(points.length).toBeGreaterThan(1000);
    expect(Object.keys(columns)).toEqual(Object.keys(reference.lines));
  });

  it.each(Object.keys(columns))("agrees in %s to 1e-10, tails included", (column) => {
    const theirs = z.array(z.number().nullable()).parse(reference[column]);
    expect(theirs).toHaveLength(points.length);
    const differing = points.filter((point, i) => {
      const ours = columns[column]?.((axis) => point[axis] ?? Number.NaN) ?? Number.NaN;
      return !agrees(ours, theirs[i] ?? null);
    });
    expect(differing).toEqual([]);
  });
});

function agrees(ours: number, theirs: number | null): boolean {
  if (theirs === null) return !Number.isFinite(ours);
  if (Math.abs(theirs) < SMALLEST) return Math.abs(ours) <= SMALLEST * (1 + AGREEMENT);
  return Math.abs(ours - theirs) <= AGREEMENT * Math.abs(theirs);
}

function read(name: string) {
  return fixture.parse(JSON.parse(readFileSync(new URL(`${name}.json`, import.meta.url), "utf8")));
}

/** The points of R's expand.grid: the first axis varies fastest. */
function grid(axes: Record<string, number[]>): Record<string, number>[] {
  let points: Record<string, number>[] = [{}];
  for (const [axis, values] of Object.entries(axes).reverse()) {
    points = points.flatMap((point) => values.map((value) => ({ ...point, [axis]: value })));
  }
  return points;
}
