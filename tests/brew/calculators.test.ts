import { describe, expect, test } from "vitest";
import { calculators } from "../../src/calculators/registry.ts";

const run = (name: string, input: unknown) => {
  const outcome = calculators.get(name)?.run(input);
  if (!outcome) throw new Error(`No calculator named ${name}`);
  return outcome;
};

const brew = { doseGrams: 26, beverageGrams: 336, tdsPercent: 1.48, kind: "percolation" };
const runs = [
  { brewer: "North", brewSeconds: 240, beverageGrams: 340 },
  { brewer: "South", brewSeconds: 246, beverageGrams: 344 },
];
const tolerances = { toleranceSeconds: 10, toleranceGrams: 10 };

describe("refusals of brew calculators point at the field", () => {
  test.each([
    ["extraction", { ...brew, tdsPercent: 100 }, ["tdsPercent"]],
    ["extraction", { ...brew, tdsPercent: Number.NaN }, ["tdsPercent"]],
    ["extraction", { ...brew, doseGrams: -26 }, ["doseGrams"]],
    ["extraction", { ...brew, doseGrams: 4 }, ["doseGrams"]],
    ["extraction", { ...brew, brewWaterGrams: 300 }, ["beverageGrams"]],
    ["extraction", { ...brew, kind: "immersion" }, ["brewWaterGrams"]],
    ["extraction", { ...brew, readings: [1.48] }, ["tdsPercent"]],
    ["extraction", { ...brew, tdsPercent: undefined, readings: [] }, ["readings"]],
    ["extraction", { ...brew, mineralMilligramsPerLitre: 15_000 }, ["mineralMilligramsPerLitre"]],
    ["extraction", { ...brew, uncertainties: { tds: 0.01 } }, ["uncertainties", "tds"]],
    ["extraction", { ...brew, kind: "siphon" }, ["kind"]],
    [
      "mineral-reading",
      { salts: [{ salt: "sugar", milligramsPerLitre: 5 }] },
      ["salts", 0, "salt"],
    ],
    [
      "dose-dilution",
      { beverageGrams: 336, addedMillilitres: -1, tdsPercent: 1 },
      ["addedMillilitres"],
    ],
    ["brewer-parity", { runs: runs.slice(0, 1), ...tolerances }, ["runs"]],
    ["brewer-parity", { runs: [runs[0], runs[0]], ...tolerances }, ["runs"]],
    ["brewer-parity", { runs, ...tolerances, toleranceGrams: -1 }, ["toleranceGrams"]],
  ])("%s %j", (name, input, path) => {
    const outcome = run(name, input);
    if (outcome.ok) throw new Error("should be refused");
    expect(outcome.issues.map((issue) => issue.path)).toContainEqual(path);
  });
});

describe("answers of brew calculators", () => {
  test.each([
    ["extraction", brew],
    ["extraction", { ...brew, kind: "immersion", brewWaterGrams: 390, addedMillilitres: 6.72 }],
    ["brewer-parity", { runs, ...tolerances }],
    ["brewer-parity", { runs: [...runs, ...runs], ...tolerances }],
    ["dose-dilution", { beverageGrams: 336, addedMillilitres: 6.72, tdsPercent: 1.48 }],
    ["mineral-reading", { salts: [{ salt: "sodium-chloride", milligramsPerLitre: 100 }] }],
  ])("%s %j has the fields it promises, and no other", (name, input) => {
    const outcome = run(name, input);
    if (!outcome.ok) throw new Error(outcome.message);
    expect(outcome.output).toEqual(calculators.get(name)?.output.parse(outcome.output));
  });

  test("repeated readings count with their mean", () => {
    const { tdsPercent: _, ...rest } = brew;
    const outcome = run("extraction", { ...rest, readings: [1.47, 1.48, 1.49] });
    expect(outcome).toMatchObject({ output: { tdsPercent: expect.closeTo(1.48, 12) } });
  });
});
