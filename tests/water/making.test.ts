import fc from "fast-check";
import { describe, expect, test } from "vitest";
import { checkReading } from "../../src/water/batch-reading.ts";
import { calibratedDropper } from "../../src/water/dropper-calibration.ts";
import { ionsForHardness } from "../../src/water/hardness-target.ts";
import { alkalinity, hardness } from "../../src/water/ions.ts";
import type { MatchPlan } from "../../src/water/match-plan.ts";
import { matchMinerals } from "../../src/water/matching.ts";
import { oneStockNeeds } from "../../src/water/one-stock-needs.ts";
import { timeList } from "../../src/water/time-list.ts";
import { batchIons, dilutedIons, type WaterBatch } from "../../src/water/water-batch.ts";
import { wayCautions } from "../../src/water/way-cautions.ts";
import { weighingUncertainty } from "../../src/water/weighing-uncertainty.ts";
import { plain } from "./plans.ts";

const litre: WaterBatch = {
  kind: "stock",
  madeUpTo: { amount: 1000, unit: "mL" },
  temperature: 20,
  baseIons: { calcium: 10 },
  salts: [{ salt: "potassium-chloride", grams: 0.74551, purity: 1, lot: "" }],
  doses: [],
};

describe("a water wished for by hardness and alkalinity", () => {
  test("has them, by the Standard Methods conversions", () => {
    const amount = fc.double({ min: 0, max: 500, noNaN: true });
    const share = fc.double({ min: 0, max: 1, noNaN: true });
    fc.assert(
      fc.property(amount, amount, share, (hard, alkaline, magnesiumShare) => {
        const ions = ionsForHardness({ hardness: hard, alkalinity: alkaline, magnesiumShare });
        expect(hardness(ions).total).toBeCloseTo(hard, 8);
        expect(hardness(ions).magnesium).toBeCloseTo(hard * magnesiumShare, 8);
        expect(alkalinity(ions)).toBeCloseTo(alkaline, 8);
      }),
    );
  });
});

describe("a mass weighed by difference", () => {
  // Computed by hand in another program from the makers' figures: √2·√((a/√3)² + (d/√12)²).
  test.each([
    [0.01, 0.02, 0.016833],
    [0.001, 0.002, 0.0016833],
    [0.1, 0.2, 0.16833],
  ])("on a %f g scale of ± %f g is known to %f g", (stepGrams, toleranceGrams, expected) => {
    expect(weighingUncertainty({ stepGrams, toleranceGrams }) / expected).toBeCloseTo(1, 4);
  });
});

describe("a dropper calibrated by weighing", () => {
  test("has the mean drop, and the spread of the weighings joined with the scale's", () => {
    const grams = [1.0, 1.02, 0.98];
    const dropper = calibratedDropper({ drops: 20, grams, scaleGrams: 0.01, temperature: 20 });
    // Water at 20 °C: 0.998206 g/mL (CRC Handbook).
    expect(dropper.dropMillilitres).toBeCloseTo(1 / 0.998206 / 20, 6);
    expect(dropper.dropRelativeUncertainty).toBeCloseTo(Math.hypot(0.02, 0.01), 10);
  });
});

describe("a batch as made", () => {
  test("holds 0.01 mol/L of a salt of which 0.01 mol was weighed, on top of its base water", () => {
    const ions = batchIons(litre);
    expect(ions.potassium).toBeCloseTo(390.98, 1);
    expect(ions.chloride).toBeCloseTo(354.5, 1);
    expect(ions.calcium).toBeCloseTo(10, 10);
  });

  test("by weight is the volume that its water fills", () => {
    // 998.206 g of water at 20 °C fill a litre (CRC Handbook).
    const weighed: WaterBatch = { ...litre, madeUpTo: { amount: 998.206, unit: "g" } };
    expect(batchIons(weighed).potassium).toBeCloseTo(batchIons(litre).potassium ?? 0, 2);
  });

  test("made by dosing holds what the dose brought; diluting it alike by water is the same", () => {
    const stock = batchIons(litre);
    const dose = { batchId: "s", label: "S", millilitres: 50, ions: stock };
    const dosed = batchIons({ ...litre, salts: [], doses: [dose] });
    expect(dosed).toEqual(dilutedIons(stock, litre.baseIons, 20));
    expect(dosed.potassium).toBeCloseTo(390.98 / 20, 2);
  });

  test("agrees with a reading of 1408 µS/cm at 25 °C and 1273 at 20 °C for 0.01 mol/L of KCl", () => {
    // OIML R 56: 0.01 demal; 1408 and 1273 µS/cm.
    const ions = batchIons({ ...litre, baseIons: {} });
    const reading = { kind: "conductivity" as const, relativeUncertainty: 0.005, parts: 1 };
    const warm = {
      ...reading,
      microsiemensPerCentimetre: 1408,
      sampleTemperature: 20,
      compensated: true,
    };
    const cool = {
      ...reading,
      microsiemensPerCentimetre: 1273,
      sampleTemperature: 20,
      compensated: false,
    };
    expect(checkReading(ions, warm).agrees).toBe(true);
    expect(checkReading(ions, cool).agrees).toBe(true);
    expect(checkReading(ions, { ...warm, microsiemensPerCentimetre: 1273 }).agrees).toBe(false);
  });
});

describe("a session from one stock", () => {
  const plan: MatchPlan = { ...plain, brews: { before: 7, after: 5 } };
  const needs = (way: "one-stock" | "double-dummy") => {
    const match = matchMinerals(plan);
    const dosed = way === "one-stock" ? match.oneStock : match.doubleDummy;
    if (dosed === null) throw new Error("no such way");
    return { match, dosed, needs: oneStockNeeds(plan, match.bottles, dosed, way) };
  };

  test("takes whole batches, and salts for whole bottles only", () => {
    const { match, needs: all } = needs("one-stock");
    // 7 × 390 g from batches of 1200 g.
    expect(all.batches).toBe(3);
    expect(all.coffeeGrams).toBe(12 * 26);
    expect(all.stocks).toBe(1);
    expect(all.salts).toEqual([
      { salt: "magnesium-chloride-hexahydrate", grams: match.bottles[0]?.salts[0]?.grams },
    ]);
  });

  test("uses all the water that goes into batches, brews, bottles and shams, and no more", () => {
    const { dosed, needs: all } = needs("double-dummy");
    const density = 0.998206;
    const bottleLeft = 500 - 7 * dosed.beforeMillilitres;
    const expected = 12 * 390 + (bottleLeft + 7 * 6.72) * density;
    expect(all.batches).toBe(0);
    expect(all.baseWaterGrams).toBeCloseTo(expected, 1);
  });
});

describe("the time list", () => {
  const bicarbonate: MatchPlan = {
    ...plain,
    salts: [{ salt: "potassium-bicarbonate", milligramsPerLitre: 50 }],
    afterSalts: [{ salt: "potassium-bicarbonate", milligramsPerLitre: 50 }],
  };

  test("makes water with bicarbonate on the day, other water the day before", () => {
    const when = (plan: MatchPlan) =>
      timeList(plan, "one-stock").find(({ task }) => task.startsWith("Make the mineral"))
        ?.minutesBefore;
    expect(when(bicarbonate)).toBeLessThan(24 * 60);
    expect(when(bicarbonate)).toBeGreaterThan(0);
    expect(when(plain)).toBeGreaterThan(12 * 60);
  });

  test("is in order of time and asks for no batch with a double dummy", () => {
    const tasks = timeList(bicarbonate, "double-dummy");
    const times = tasks.map(({ minutesBefore }) => minutesBefore);
    expect(times).toEqual([...times].sort((left, right) => right - left));
    expect(tasks.some(({ task }) => task.includes("mineral brew water"))).toBe(false);
    for (const way of ["one-stock", "weighed"] as const) {
      const each = timeList(bicarbonate, way).map(({ minutesBefore }) => minutesBefore);
      expect(each).toEqual([...each].sort((left, right) => right - left));
    }
  });
});

describe("cautions of the way that is chosen", () => {
  const split: MatchPlan = {
    ...plain,
    salts: [
      { salt: "calcium-chloride-dihydrate", milligramsPerLitre: 66 },
      { salt: "potassium-bicarbonate", milligramsPerLitre: 80 },
    ],
    afterSalts: [
      { salt: "calcium-chloride-dihydrate", milligramsPerLitre: 66 },
      { salt: "potassium-bicarbonate", milligramsPerLitre: 80 },
    ],
    instruments: { ...plain.instruments, scaleResolutionGrams: 0.01 },
  };
  const codes = (
    plan: MatchPlan,
    way: "one-stock" | "weighed" | "double-dummy",
    dosesWeighed = true,
  ) => wayCautions(plan, matchMinerals(plan), { way, dosesWeighed }).map(({ code }) => code);

  test("say that bottles stand apart, and no longer that they would precipitate together", () => {
    expect(codes(split, "one-stock")).toContain("bottles-apart");
    expect(codes(split, "one-stock")).not.toContain("precipitates-calcite");
  });

  test("still say so of a bottle that precipitates with its base water's bicarbonate", () => {
    const hard = { ...split, baseIons: { calcium: 60, bicarbonate: 180 } };
    expect(codes(hard, "one-stock")).toContain("precipitates-calcite");
  });

  test("count the weighings that are really done", () => {
    const small = { ...split, batchGrams: 400 };
    expect(codes(small, "weighed")).toContain("weighing-small");
    expect(codes(small, "one-stock")).not.toContain("weighing-small");
  });

  test("warn of doses under a hundred steps of the scale, not of pipetted ones", () => {
    const drop = { ...split, doseMillilitres: 1.2 };
    expect(codes(drop, "one-stock")).toContain("dose-small");
    expect(codes(drop, "one-stock", false)).not.toContain("dose-small");
  });

  test("spare the kettle with a double dummy", () => {
    const salty = {
      ...split,
      salts: [{ salt: "sodium-chloride" as const, milligramsPerLitre: 200 }],
      afterSalts: [{ salt: "sodium-chloride" as const, milligramsPerLitre: 200 }],
    };
    expect(codes(salty, "one-stock")).toContain("corrosion");
    expect(codes(salty, "double-dummy")).not.toContain("corrosion");
  });
});
