import { describe, expect, test } from "vitest";
import {
  cupBrewedWith,
  cupDosedAfter,
  type DosedBottle,
  type Instruments,
} from "../../src/water/cup.ts";
import { difference } from "../../src/water/difference.ts";
import type { Mixture } from "../../src/water/mixture.ts";
import { seededNormal, standardDeviation } from "./seeded-normal.ts";

// 40 000 draws know a standard deviation to 0.35 % (one standard error): 2 % is nearly six of them.
const draws = 40_000;

const instruments: Instruments = {
  scaleGrams: 0.005,
  pipetteMillilitres: 0.03,
  yieldGrams: 0.5,
  batchMillilitres: 3,
  stockMillilitres: 0.5,
  kettleLossFraction: 0.004,
  transfer: () => 0.01,
};
const perfect: Instruments = {
  scaleGrams: 0,
  pipetteMillilitres: 0,
  yieldGrams: 0,
  batchMillilitres: 0,
  stockMillilitres: 0,
  kettleLossFraction: 0,
  transfer: () => 0,
};

const calcium = { salt: "calcium-chloride-dihydrate", purity: 0.98 } as const;
const magnesium = { salt: "magnesium-chloride-hexahydrate", purity: 1 } as const;
const batch: Mixture = {
  weighings: [
    { ...calcium, grams: 0.4 },
    { ...magnesium, grams: 0.6 },
  ],
  millilitres: 6000,
};
const bottle: DosedBottle = {
  name: "stock",
  mixture: {
    weighings: [
      { ...calcium, grams: 1.66 },
      { ...magnesium, grams: 2.5 },
    ],
    millilitres: 500,
  },
  doseMillilitres: 6.72,
};
const passage = { beverage: 336, shamMillilitres: 6.72, kettleLossFraction: 0.006, transfer: 0.97 };

describe("the first-order uncertainty agrees with a Monte Carlo of the same errors within 2 %", () => {
  test("when each arm's salts are weighed on their own", () => {
    const firstOrder = difference(
      cupBrewedWith("chloride", { batch }, passage, instruments),
      cupDosedAfter("chloride", [bottle], 336, instruments),
    ).standardUncertainty;
    const off = errors(20261125);
    const simulated = Array.from({ length: draws }, () => {
      const { scale, volume, batchVolume } = off;
      const water = { batch: remade(batch, scale, batchVolume) };
      const dosed = {
        ...bottle,
        mixture: remade(bottle.mixture, scale, volume),
        doseMillilitres: bottle.doseMillilitres + off.pipette(),
      };
      const before = cupBrewedWith("chloride", water, moved(off), perfect);
      const after = cupDosedAfter("chloride", [dosed], 336 + off.yields(), perfect);
      return before.milligramsPerLitre - after.milligramsPerLitre;
    });
    expectWithinTwoPercent(firstOrder, standardDeviation(simulated));
  });

  test("when both arms are dosed from one stock", () => {
    const dosedWater = { ...bottle, doseMillilitres: 24 };
    const firstOrder = difference(
      cupBrewedWith("calcium", { bottles: [dosedWater], millilitres: 1200 }, passage, instruments),
      cupDosedAfter("calcium", [bottle], 336, instruments),
    ).standardUncertainty;
    const off = errors(7);
    const simulated = Array.from({ length: draws }, () => {
      const mixture = remade(bottle.mixture, off.scale, off.volume);
      const dose = (millilitres: number) => ({
        ...bottle,
        mixture,
        doseMillilitres: millilitres + off.pipette(),
      });
      const water = { bottles: [dose(24)], millilitres: 1200 + off.batchVolume() };
      const before = cupBrewedWith("calcium", water, moved(off), perfect);
      const after = cupDosedAfter("calcium", [dose(6.72)], 336 + off.yields(), perfect);
      return before.milligramsPerLitre - after.milligramsPerLitre;
    });
    expectWithinTwoPercent(firstOrder, standardDeviation(simulated));
  });
});

function errors(seed: number) {
  const normal = seededNormal(seed);
  return {
    scale: () => instruments.scaleGrams * normal(),
    pipette: () => instruments.pipetteMillilitres * normal(),
    yields: () => instruments.yieldGrams * normal(),
    volume: () => instruments.stockMillilitres * normal(),
    batchVolume: () => instruments.batchMillilitres * normal(),
    kettle: () => instruments.kettleLossFraction * normal(),
    transfer: () => instruments.transfer("calcium") * normal(),
  };
}

function remade(mixture: Mixture, scale: () => number, volume: () => number): Mixture {
  const weighings = mixture.weighings.map((entry) => ({ ...entry, grams: entry.grams + scale() }));
  return { weighings, millilitres: mixture.millilitres + volume() };
}

function moved(off: ReturnType<typeof errors>) {
  return {
    beverage: passage.beverage + off.yields(),
    shamMillilitres: passage.shamMillilitres + off.pipette(),
    kettleLossFraction: passage.kettleLossFraction + off.kettle(),
    transfer: passage.transfer + off.transfer(),
  };
}

function expectWithinTwoPercent(firstOrder: number, simulated: number) {
  expect(firstOrder / simulated).toBeGreaterThan(0.98);
  expect(firstOrder / simulated).toBeLessThan(1.02);
}
