import fc from "fast-check";
import type { MatchInstruments, MatchPlan } from "../../src/water/match-plan.ts";
import { saltNames } from "../../src/water/salts.ts";

export const perfect: MatchInstruments = {
  scaleGrams: 0,
  scaleResolutionGrams: 0,
  pipetteMillilitres: 0,
  yieldGrams: 0,
  batchGrams: 0,
  stockMillilitres: 0,
  kettleLossFraction: 0,
  transfer: 0,
};

/** A plain plan: 26 g, 390 g of water, 336 g of coffee, a dose of 2 %. */
export const plain: MatchPlan = {
  doseGrams: 26,
  brewWaterGrams: 390,
  beverageGrams: 336,
  doseMillilitres: 6.72,
  salts: [{ salt: "magnesium-chloride-hexahydrate", milligramsPerLitre: 100, purity: 0.99 }],
  afterSalts: [{ salt: "magnesium-chloride-hexahydrate", milligramsPerLitre: 100, purity: 0.99 }],
  baseIons: {},
  transfer: 1,
  batchGrams: 1200,
  stockMillilitres: 500,
  kettleLossFraction: 0,
  instruments: perfect,
  weighed: {},
  brews: { before: 1, after: 1 },
  tolerancePercent: 2,
  temperature: 20,
};

const between = (min: number, max: number) => fc.double({ min, max, noNaN: true });

const saltLists = fc
  .uniqueArray(fc.constantFrom(...saltNames), { minLength: 1, maxLength: 4 })
  .chain((names) =>
    fc.tuple(
      ...names.map((salt) =>
        fc.record({
          salt: fc.constant(salt),
          milligramsPerLitre: between(1, 300),
          purity: between(0.8, 1),
        }),
      ),
    ),
  );

/** Any plan that puts the same minerals into both arms with perfect instruments. */
export const plans: fc.Arbitrary<MatchPlan> = fc
  .record({
    doseGrams: between(5, 100),
    ratio: between(10, 20),
    held: between(1.5, 2.5),
    dosePercent: between(0.05, 5),
    salts: saltLists,
    transfer: between(0.85, 1.1),
    batches: between(1, 10),
    stockMillilitres: between(5, 2000),
    kettleLossFraction: between(0, 0.05),
    temperature: between(5, 40),
    calcium: between(0, 50),
  })
  .map(({ ratio, held, dosePercent, batches, calcium, ...plan }) => {
    const brewWaterGrams = plan.doseGrams * ratio;
    const beverageGrams = plan.doseGrams * (ratio - held);
    return {
      ...plan,
      brewWaterGrams,
      beverageGrams,
      doseMillilitres: (beverageGrams * dosePercent) / 100,
      batchGrams: brewWaterGrams * batches,
      afterSalts: plan.salts,
      baseIons: { calcium, bicarbonate: 3 * calcium },
      instruments: perfect,
      weighed: {},
      brews: { before: 1, after: 1 },
      tolerancePercent: 2,
    };
  });
