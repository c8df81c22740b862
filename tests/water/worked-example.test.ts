import { describe, expect, test } from "vitest";
import { conductivity } from "../../src/water/conductivity.ts";
import {
  cupBrewedWith,
  cupDosedAfter,
  type DosedBottle,
  type Instruments,
} from "../../src/water/cup.ts";
import { difference } from "../../src/water/difference.ts";
import type { IonName } from "../../src/water/ions.ts";
import { saturation } from "../../src/water/saturation.ts";
import { bedLiquidGrams, type TrialBrew, transferModels } from "../../src/water/transfer.ts";

// An invented brew worked out by hand and by an independent program (own values, no outside source):
// 26.0 g of coffee, 390 g of water, 336 g of beverage, two stocks of 500 g dosed at 1 % each.

const bottle = (name: string, weighings: DosedBottle["mixture"]["weighings"]): DosedBottle => ({
  name,
  mixture: { weighings, millilitres: 500 },
  doseMillilitres: 3.36,
});
const hardnessStock = bottle("A", [
  { salt: "magnesium-chloride-hexahydrate", grams: 5.17, purity: 0.99 },
  { salt: "calcium-chloride-dihydrate", grams: 3.38, purity: 0.995 },
]);
const bufferStock = bottle("B", [{ salt: "potassium-bicarbonate", grams: 4.09, purity: 0.998 }]);

const instruments = (transfer: number): Instruments => ({
  scaleGrams: 0,
  pipetteMillilitres: 0.016833,
  yieldGrams: 0.16833,
  batchMillilitres: 0.16833,
  stockMillilitres: 0,
  kettleLossFraction: 0.002,
  transfer: () => transfer,
});

interface Run {
  doses: [number, number];
  beverageAfter: number;
  beverageBefore: number;
  sham: number;
  stock: number;
  batch: number;
}

const nominal: Run = {
  doses: [3.36, 3.36],
  beverageAfter: 336,
  beverageBefore: 336,
  sham: 6.72,
  stock: 11.96,
  batch: 1200,
};

function cups(ion: IonName, run: Run, spread: number) {
  const dosed = (millilitres: [number, number]) => [
    { ...hardnessStock, doseMillilitres: millilitres[0] },
    { ...bufferStock, doseMillilitres: millilitres[1] },
  ];
  const water = { bottles: dosed([run.stock, run.stock]), millilitres: run.batch };
  const passage = {
    beverage: run.beverageBefore,
    shamMillilitres: run.sham,
    kettleLossFraction: 0.006,
    transfer: 0.997,
  };
  const before = cupBrewedWith(ion, water, passage, instruments(spread));
  const after = cupDosedAfter(ion, dosed(run.doses), run.beverageAfter, instruments(spread));
  return { before, after };
}

describe("the worked example", () => {
  test("puts 12 mg/kg of magnesium and 18 of calcium into both cups", () => {
    const magnesium = cups("magnesium", nominal, 0);
    expect(magnesium.after.milligramsPerLitre).toBeCloseTo(11.99843, 5);
    expect(magnesium.before.milligramsPerLitre).toBeCloseTo(11.99453, 4);
    const calcium = cups("calcium", nominal, 0);
    expect(calcium.after.milligramsPerLitre).toBeCloseTo(17.97772, 4);
    expect(calcium.before.milligramsPerLitre).toBeCloseTo(17.97187, 4);
  });

  test.each([
    { ion: "magnesium" as const, spread: 0.01, expanded: 0.2751 },
    { ion: "magnesium" as const, spread: 0.005, expanded: 0.1796 },
    { ion: "magnesium" as const, spread: 0.02, expanded: 0.4994 },
    { ion: "calcium" as const, spread: 0.005, expanded: 0.2691 },
    { ion: "calcium" as const, spread: 0.02, expanded: 0.7482 },
    { ion: "calcium" as const, spread: 0.05, expanded: 1.814 },
  ])("expands to $expanded mg/kg for $ion when u(T) is $spread", ({ ion, spread, expanded }) => {
    const { before, after } = cups(ion, nominal, spread);
    const apart = difference(before, after);
    expect(2 * apart.standardUncertainty).toBeGreaterThan(expanded * 0.998);
    expect(2 * apart.standardUncertainty).toBeLessThan(expanded * 1.002);
  });

  test("finds the mismatch of a logged run: 0.016 mg/kg magnesium, 0.025 calcium", () => {
    const logged: Run = {
      doses: [3.34, 3.33],
      beverageAfter: 333.4,
      beverageBefore: 338.9,
      sham: 6.78,
      stock: 11.97,
      batch: 1200.1,
    };
    // There the sign is after less before.
    const magnesium = cups("magnesium", logged, 0);
    expect(-difference(magnesium.before, magnesium.after).milligramsPerLitre).toBeCloseTo(
      0.0165,
      4,
    );
    const calcium = cups("calcium", logged, 0);
    expect(-difference(calcium.before, calcium.after).milligramsPerLitre).toBeCloseTo(0.0247, 4);
  });

  test.each([
    { yields: 0.98, apart: 0.2439 },
    { yields: 1.02, apart: -0.2268 },
  ])("a fixed dose on $yields of the beverage is $apart mg/kg off", ({ yields, apart }) => {
    const run = { ...nominal, beverageAfter: 336 * yields };
    const dosed = cups("magnesium", run, 0).after.milligramsPerLitre;
    const other = cups("magnesium", nominal, 0).before.milligramsPerLitre;
    expect(dosed - other).toBeCloseTo(apart, 3);
  });

  test("divides minerals between cup and grounds by four pictures", () => {
    const brew: TrialBrew = {
      doseGrams: 26,
      brewWaterGrams: 390,
      beverageGrams: 336,
      bedGrams: 75,
      steamGrams: 5,
      moisture: 0.025,
      beverageSolids: 0.0148,
      bedLiquidSolids: 0.0055,
    };
    expect(bedLiquidGrams(brew)).toBeCloseTo(54.92, 2);
    const models = transferModels(brew, {
      boundGramsPerGram: 0.25,
      uptakeMilligramsPerGram: 0.02,
      addedMilligramsPerKilogram: (18 * 1.02) / 0.997,
    });
    expect(models.wellMixed).toBeCloseTo(0.997634, 5);
    expect(models.plugFlow).toBeCloseTo(0.996313, 5);
    expect(models.boundWater).toBeCloseTo(1.01339, 4);
    expect(models.uptake).toBeCloseTo(0.92529, 3);
  });

  test("predicts the brew water's conductivity within 1 % of an independent program", () => {
    expect(conductivity(brewWater, 25)).toBeGreaterThan(347.11 * 0.99);
    expect(conductivity(brewWater, 25)).toBeLessThan(347.11 * 1.01);
  });

  test("predicts when stocks and kettles precipitate, within 0.05 of an independent program", () => {
    const near = (index: number | null, expected: number) =>
      expect(Math.abs((index ?? Number.NaN) - expected)).toBeLessThan(0.05);
    near(saturation(brewWater, 21).calcite, -0.2427);
    near(saturation(brewWater, 93).calcite, 0.1402);
    near(saturation(brewWater, 93, "air").calcite, 0.7718);
    const stock = { calcium: 1833.73, magnesium: 1223.84 };
    const calciumChloride = (2 * 1833.73 * 35.45) / 40.078;
    const sulfate = (1223.84 * 96.056) / 24.305;
    near(saturation({ ...stock, sulfate, chloride: calciumChloride }, 21).gypsum, 0.4076);
    const single = {
      ...stock,
      chloride: calciumChloride + (2 * 1223.84 * 35.45) / 24.305,
      potassium: 81.54 * 39.098,
      bicarbonate: 81.54 * 61.016,
    };
    near(saturation(single, 21).calcite, 2.372);
  });
});

const brewWater = {
  calcium: 19.27615,
  magnesium: 12.49761,
  sodium: 2.2,
  potassium: 31.97558,
  chloride: 69.71301,
  sulfate: 1,
  bicarbonate: 55.8887,
};
