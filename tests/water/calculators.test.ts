import { describe, expect, test } from "vitest";
import { z } from "zod";
import { calculators } from "../../src/calculators/registry.ts";

const run = (name: string, input: unknown) => {
  const outcome = calculators.get(name)?.run(input);
  if (!outcome) throw new Error(`No calculator named ${name}`);
  return outcome;
};

const trial = {
  doseGrams: 26,
  brewWaterGrams: 390,
  beverageGrams: 336,
  bedGrams: 75,
  steamGrams: 5,
  beverageSolids: 0.0148,
  bedLiquidSolids: 0.0055,
  addedMilligramsPerKilogram: 18.4,
};

const match = {
  doseGrams: 26,
  brewWaterGrams: 390,
  beverageGrams: 336,
  doseMillilitres: 6.72,
  salts: [{ salt: "sodium-chloride", milligramsPerLitre: 50 }],
};

describe("refusals of water calculators point at the field", () => {
  test.each([
    ["water-properties", { ions: { calcium: -1 } }, ["ions", "calcium"]],
    ["water-properties", { ions: { calcium: Number.NaN } }, ["ions", "calcium"]],
    ["water-properties", { ions: { iron: 1 } }, ["ions", "iron"]],
    ["water-properties", { ions: {}, temperature: 120 }, ["temperature"]],
    [
      "salts-to-ions",
      { salts: [{ salt: "magnesium-sulfate", milligramsPerLitre: 5 }] },
      ["salts", 0, "salt"],
    ],
    [
      "salts-to-ions",
      { salts: [{ salt: "sodium-chloride", milligramsPerLitre: 5, purity: 1.01 }] },
      ["salts", 0, "purity"],
    ],
    [
      "salts-to-ions",
      { salts: [{ salt: "sodium-chloride", milligramsPerLitre: 5, purity: 0 }] },
      ["salts", 0, "purity"],
    ],
    ["ions-to-salts", { ions: { calcium: 5 }, salts: [] }, ["salts"]],
    [
      "ions-to-salts",
      { ions: { calcium: 5 }, salts: ["calcium-chloride", "calcium-chloride"] },
      ["salts"],
    ],
    ["transfer-models", { ...trial, bedGrams: 20 }, ["bedGrams"]],
    ["transfer-models", { ...trial, steamGrams: 390 }, ["brewWaterGrams"]],
    ["match-minerals", { ...match, beverageGrams: 417 }, ["beverageGrams"]],
    ["match-minerals", { ...match, doseMillilitres: 400 }, ["doseMillilitres"]],
    ["match-minerals", { ...match, transfer: 0 }, ["transfer"]],
    ["match-minerals", { ...match, salts: [] }, ["salts"]],
    ["match-minerals", { ...match, scale: 1 }, ["scale"]],
    [
      "match-minerals",
      { ...match, instruments: { scaleGrams: -0.01 } },
      ["instruments", "scaleGrams"],
    ],
    ["cup-dose", { beverageGrams: 200, stockGramsPerLitre: 10 }, ["target"]],
    [
      "cup-dose",
      {
        beverageGrams: 200,
        stockGramsPerLitre: 1,
        target: { salt: "sodium-chloride", milligramsPerLitre: 1000 },
      },
      ["stockGramsPerLitre"],
    ],
    ["cup-dose", { beverageGrams: 0, stockGramsPerLitre: 10, drops: 5 }, ["beverageGrams"]],
    [
      "water-batch-check",
      { ions: {}, measurement: { kind: "hardness", millilitres: 5 } },
      ["measurement", "molarity"],
    ],
  ])("%s %j", (name, input, path) => {
    const outcome = run(name, input);
    if (outcome.ok) throw new Error("should be refused");
    expect(outcome.issues.map((issue) => issue.path)).toContainEqual(path);
    for (const issue of outcome.issues) expect(issue.message).not.toBe("");
  });
});

describe("answers of water calculators", () => {
  test.each([
    ["water-properties", { ions: { calcium: 50, bicarbonate: 152 } }],
    ["water-properties", { ions: {} }],
    [
      "salts-to-ions",
      { salts: [{ salt: "potassium-citrate-monohydrate", milligramsPerLitre: 9 }] },
    ],
    ["ions-to-salts", { ions: { calcium: 20 }, salts: ["calcium-sulfate-dihydrate"] }],
    ["transfer-models", trial],
    ["match-minerals", match],
    ["match-minerals", { ...match, afterSalts: [] }],
    [
      "match-minerals",
      { ...match, transfer: { sodium: 0.98 }, instruments: { transfer: { sodium: 0.02 } } },
    ],
    ["cup-dose", { beverageGrams: 200, stockGramsPerLitre: 10, drops: 5 }],
    [
      "water-batch-check",
      {
        ions: { sodium: 230, chloride: 354.5 },
        measurement: {
          kind: "conductivity",
          microsiemensPerCentimetre: 1180,
          standardUncertainty: 10,
        },
      },
    ],
  ])("%s %j has the fields it promises, and no other", (name, input) => {
    const outcome = run(name, input);
    if (!outcome.ok) throw new Error(outcome.message);
    const promised = calculators.get(name)?.output.parse(outcome.output);
    expect(outcome.output).toEqual(promised);
  });

  test("match-minerals gives what both arms need, and predicts alike cups", () => {
    const outcome = run("match-minerals", {
      ...match,
      salts: [{ ...match.salts[0], purity: 0.5 }],
    });
    expect(outcome).toMatchObject({
      output: {
        before: { concentrationFactor: 342.72 / 336, shamMillilitres: 6.72 },
        // 50 mg/L in 342.72 mL is 17.136 mg of salt, twice that to be weighed, in 6.72 mL.
        after: { doseMillilitres: 6.72, stock: [{ grams: expect.closeTo(0.034272, 9) }] },
        mismatch: { passes: true, expandedUncertaintyPercent: 0 },
      },
    });
  });

  test("match-minerals rounds to a display step that the scale's uncertainty speaks of", () => {
    // 2 g/L in a batch of 390 g take some 0.797 g (2 g/L × 0.3907 L × 342.72/336), which 0.01 g and
    // 0.1 g round to different masses.
    const salts = [{ salt: "sodium-chloride", milligramsPerLitre: 2000 }];
    const mismatchWith = (instruments: Record<string, number>) => {
      const outcome = run("match-minerals", { ...match, salts, instruments });
      return z
        .object({ output: z.object({ mismatch: z.object({ percent: z.number() }) }) })
        .parse(outcome).output.mismatch.percent;
    };
    const hundredth = mismatchWith({ scaleResolutionGrams: 0.01 });
    const tenth = mismatchWith({ scaleResolutionGrams: 0.1 });
    expect(Math.abs(mismatchWith({}))).toBeLessThan(1e-9);
    expect(Math.abs(hundredth)).toBeGreaterThan(0.01);
    expect(tenth).not.toBeCloseTo(hundredth, 3);
    // By difference a 0.01 g scale has 0.0168 g; many will type the step itself.
    for (const scaleGrams of [0.0168, 0.01, 0.02]) {
      expect(mismatchWith({ scaleGrams })).toBe(hundredth);
    }
    for (const scaleGrams of [0.168, 0.1]) expect(mismatchWith({ scaleGrams })).toBe(tenth);
    expect(mismatchWith({ scaleGrams: 0.0168, scaleResolutionGrams: 0.1 })).toBe(tenth);
  });

  test("cup-dose of no drops leaves the cup as it was", () => {
    const cup = { beverageGrams: 200, stockGramsPerLitre: 10 };
    expect(run("cup-dose", { ...cup, drops: 0 })).toEqual({
      ok: true,
      output: {
        millilitres: 0,
        drops: 0,
        milligramsPerLitre: 0,
        standardUncertainty: 0,
        dilutionPercent: 0,
      },
    });
  });

  test("water-batch-check finds a batch that is not what its label says", () => {
    const reading = (microsiemensPerCentimetre: number) =>
      run("water-batch-check", {
        ions: { potassium: 390.98, chloride: 354.5 },
        measurement: { kind: "conductivity", microsiemensPerCentimetre, standardUncertainty: 5 },
      });
    // 0.01 mol/L of potassium chloride: 1413 µS/cm (OIML R 56).
    expect(reading(1413)).toMatchObject({ output: { agrees: true } });
    expect(reading(1300)).toMatchObject({ output: { agrees: false } });
    const titration = (millilitres: number) =>
      run("water-batch-check", {
        ions: { calcium: 40.078 },
        measurement: {
          kind: "hardness",
          millilitres,
          molarity: 0.01,
          sampleMillilitres: 100,
          relativeUncertainty: 0.01,
        },
      });
    expect(titration(10)).toMatchObject({ output: { agrees: true } });
    expect(titration(9.6)).toMatchObject({ output: { agrees: false } });
  });

  test("name the conductivity model", () => {
    expect(run("water-properties", { ions: {} })).toMatchObject({
      output: { conductivityModel: expect.stringContaining("McCleskey") },
    });
  });
});

test("every input and output schema can be published as JSON Schema", () => {
  for (const { input, output } of calculators.values()) {
    expect(z.toJSONSchema(input, { io: "input" })).toHaveProperty("type", "object");
    expect(z.toJSONSchema(output)).toHaveProperty("type", "object");
  }
});
