import { readFileSync } from "node:fs";
import { describe, expect, it } from "vitest";
import { z } from "zod";
import { gridOf } from "../../src/statistics/decimals.ts";
import { describe as describeSample } from "../../src/statistics/descriptive.ts";
import { friedman } from "../../src/statistics/friedman.ts";
import { benjaminiHochberg, hochberg, holm } from "../../src/statistics/multiplicity.ts";
import { pairedPower, pairedScores } from "../../src/statistics/paired.ts";
import type { Alternative } from "../../src/statistics/randomisation.ts";
import { heterogeneity } from "../../src/statistics/strata.ts";
import type { ExactProbability } from "../../src/statistics/subset-sum.ts";
import { subsetSumLowerTail } from "../../src/statistics/subset-sum.ts";
import { twoWay } from "../../src/statistics/variance.ts";

const cases = z.array(z.array(z.array(z.number())));
const reference = z
  .object({
    source: z.string(),
    paired: cases,
    signedRank: cases,
    adjusted: cases,
    blocks: cases,
    coffees: cases,
    samples: cases,
    power: cases,
  })
  .parse(JSON.parse(readFileSync(new URL("r/tests.json", import.meta.url), "utf8")));

const alternatives: Alternative[] = ["two-sided", "greater", "less"];

describe(`agreement with ${reference.source}, 1e-10 relative`, () => {
  it("paired t, its three p-values and its interval", () => {
    for (const [differences = [], t = []] of reference.paired) {
      const results = alternatives.map((alternative) => scores(differences, alternative).t);
      const [twoSided] = results;
      agree([twoSided?.statistic, ...results.map((one) => one.pValue)], t.slice(0, 4), CANCELS);
      agree([twoSided?.lower, twoSided?.upper], t.slice(4), CANCELS);
    }
  });

  it("sign flips against all assignments of signs, enumerated", () => {
    for (const [differences = [], , flips = []] of reference.paired) {
      agree(
        alternatives.map((alternative) => p(scores(differences, alternative).randomisation)),
        flips,
      );
    }
  });

  it("signed rank with ties and zeros against all assignments of signs, enumerated", () => {
    for (const [differences = [], , , ranks = []] of reference.paired) {
      const results = alternatives.map(
        (alternative) => scores(differences, alternative).signedRank,
      );
      agree([results[0]?.statistic, ...results.map((one) => p(one.probability))], ranks);
    }
  });

  it("sign test, all three ways", () => {
    for (const [differences = [], , , , signs = []] of reference.paired) {
      agree(
        alternatives.map((alternative) => scores(differences, alternative).sign.pValue),
        signs,
      );
    }
  });

  it("untied signed-rank tails up to 120 pairs", () => {
    const [pairs = [], totals = [], tails = []] = reference.signedRank[0] ?? [];
    const ours = pairs.map((n, i) => {
      const ranks = Array.from({ length: n }, (_, rank) => BigInt(rank + 1));
      return p(subsetSumLowerTail(ranks, BigInt(totals[i] ?? 0)));
    });
    agree(ours, tails);
  });

  it("Holm, Hochberg and Benjamini-Hochberg", () => {
    for (const [pValues = [], ...adjusted] of reference.adjusted) {
      for (const [i, adjust] of [holm, hochberg, benjaminiHochberg].entries()) {
        agree(adjust(pValues), adjusted[i] ?? []);
      }
    }
  });

  it("Friedman with ties, and two-way analysis of variance", () => {
    for (const [[treatments = 0] = [], cells = [], ranks = [], variance = []] of reference.blocks) {
      const { statistic, df, pValue } = friedman(rowsOf(cells, treatments));
      agree([statistic, df, pValue], ranks);
      const { treatment, block, errorMeanSquare } = twoWay(gridOf(cells), treatments);
      const ours = [treatment.f, block.f, treatment.pValue, block.pValue, errorMeanSquare];
      agree(ours, variance, CANCELS);
    }
  });

  it("heterogeneity over coffees, without continuity correction", () => {
    for (const [correct = [], assessments = [], expected = []] of reference.coffees) {
      const counts = correct.map((x, i) => ({ correct: x, assessments: assessments[i] ?? 0 }));
      const { statistic, df, pValue } = heterogeneity(counts);
      agree([statistic, df, pValue], expected);
    }
  });

  it("mean, standard deviation and type 7 quartiles", () => {
    for (const [values = [], expected = []] of reference.samples) {
      const ours = describeSample(gridOf(values));
      agree(
        [ours.mean, ours.standardDeviation, ours.median, ours.lowerQuartile, ours.upperQuartile],
        expected,
      );
    }
  });

  it("power of the paired t test, one- and two-sided with both tails", () => {
    const [effects = [], pairs = [], alphas = [], sides = [], power = []] =
      reference.power[0] ?? [];
    const ours = effects.map((effect, i) =>
      pairedPower(effect, pairs[i] ?? 0, alphas[i] ?? 0, sides[i] === 1 ? "one" : "two"),
    );
    agree(ours, power);
  });
});

function scores(differences: number[], alternative: Alternative) {
  return pairedScores(gridOf(differences), alternative);
}

function p(probability: ExactProbability): number {
  return probability.ok ? probability.pValue : Number.NaN;
}

function rowsOf(cells: number[], width: number): number[][] {
  return Array.from({ length: cells.length / width }, (_, i) =>
    cells.slice(i * width, (i + 1) * width),
  );
}

/** Where a value is a difference that may cancel, R itself keeps only about 1e-13 of the data's size. */
const CANCELS = 1e-3;

/** 1e-10 relative, tails included. */
function agree(ours: (number | null | undefined)[], expected: number[], floor = 0): void {
  expect(ours).toHaveLength(expected.length);
  const worst = expected.map((value, i) => {
    const difference = Math.abs((ours[i] ?? Number.NaN) - value);
    return difference === 0 ? 0 : difference / (Math.abs(value) + floor);
  });
  expect(Math.max(...worst), JSON.stringify({ ours, expected })).toBeLessThanOrEqual(1e-10);
}
