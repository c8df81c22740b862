import { z } from "zod";
import { absorbedGramsPerGram, strengthOnRatioLine, zone } from "../../src/brew/control-chart.ts";
import { type BrewKind, extraction } from "../../src/brew/extraction.ts";
import { brewerParity } from "../../src/brew/parity.ts";
import { readingRelativeToSucrose } from "../../src/brew/refractometer.ts";
import { uncalibratedDropper } from "../../src/water/cup-dose.ts";
import { waterDensity } from "../../src/water/density.ts";
import { numberOf, numbersOf } from "./arguments.ts";
import { answer, valueAt } from "./calculated.ts";
import { testPublished } from "./published-checks.ts";

const readSaltOf = (value: unknown) =>
  z
    .enum([
      "magnesium-sulfate",
      "magnesium-chloride",
      "calcium-chloride",
      "sodium-chloride",
      "potassium-chloride",
      "sodium-bicarbonate",
      "potassium-bicarbonate",
    ])
    .parse(value);

testPublished("brewing.json", {
  density: (temperature) => waterDensity(numberOf(temperature)),
  percolation: (...brew) => yieldOf("percolation", brew),
  immersion: (...brew) => yieldOf("immersion", brew),
  ratioLine: (...line) => {
    const [extractionPercent = 0, ratio = 0, absorbed = 0] = numbersOf(line);
    return strengthOnRatioLine(extractionPercent, ratio, absorbed);
  },
  yieldZone: (percent) =>
    ["under", "ideal", "over"].indexOf(zone(numberOf(percent), 1.25).extraction),
  strengthZone: (percent) =>
    ["weak", "ideal", "strong"].indexOf(zone(20, numberOf(percent)).strength),
  relativeReading: (salt) => readingRelativeToSucrose(readSaltOf(salt)),
  absorbed: (...masses) => {
    const [water = 0, beverage = 0, dose = 0] = numbersOf(masses);
    return absorbedGramsPerGram(water, beverage, dose);
  },
  parity: (seconds, grams) => {
    const runs = [
      { brewer: "first", brewSeconds: 240, beverageGrams: 340 },
      {
        brewer: "second",
        brewSeconds: 240 + numberOf(seconds),
        beverageGrams: 340 + numberOf(grams),
      },
    ];
    const parity = brewerParity(runs, { seconds: 10, grams: 10 });
    return Number(parity.ok && parity.passes);
  },
  drawnOff: (...recipe) => drawnOff(numbersOf(recipe)),
  dropUncertainty: () => uncalibratedDropper.dropRelativeUncertainty,
  dropsPerMillilitre: () => 1 / uncalibratedDropper.dropMillilitres,
});

function yieldOf(kind: BrewKind, brew: unknown[]): number {
  const [doseGrams = 0, grams = 0, strength = 0] = numbersOf(brew);
  // Percolation tables print the beverage, immersion studies the water.
  const masses =
    kind === "immersion"
      ? { brewWaterGrams: grams, beverageGrams: grams - 2 * doseGrams }
      : { beverageGrams: grams };
  const result = extraction({ kind, doseGrams, readingsPercent: [strength], ...masses });
  if (!result.ok) throw new Error(result.refusal);
  return result.extractionPercent;
}

/** mg/L of a recipe made at a multiple of its volume, of which one brew draws off what it needs. */
function drawnOff([grams = 0, times = 0, drawn = 0, milligramsPerLitre = 0]: number[]): number {
  const batchGrams = grams * times;
  const output = answer("match-minerals", {
    doseGrams: drawn / 16,
    brewWaterGrams: drawn,
    beverageGrams: 0.87 * drawn,
    doseMillilitres: 0.01 * drawn,
    batchGrams,
    salts: [{ salt: "sodium-chloride", milligramsPerLitre }],
  });
  const weighed = valueAt(output, "before.batch.0.grams") ?? 0;
  const litres = batchGrams / waterDensity(20);
  const factor = valueAt(output, "before.concentrationFactor") ?? 0;
  return (1000 * weighed) / litres / factor;
}
