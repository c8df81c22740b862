import fc from "fast-check";
import { describe, expect, test } from "vitest";
import { type Making, matchAdvice } from "../../src/water/match-advice.ts";
import type { MatchPlan } from "../../src/water/match-plan.ts";
import { matchMinerals } from "../../src/water/matching.ts";
import { perfect, plain, plans } from "./plans.ts";

describe("with perfect instruments", () => {
  test("both arms' cups agree to 1e-9, whichever way the water is made", () => {
    fc.assert(
      fc.property(plans, (plan) => {
        const match = matchMinerals(plan);
        const ways = [match.mismatch, match.oneStock?.mismatch, match.doubleDummy?.mismatch];
        for (const way of ways) {
          for (const ion of way?.ions ?? []) {
            expect(Math.abs(ion.before - ion.after)).toBeLessThanOrEqual(1e-9 * ion.after);
          }
          expect(way).toMatchObject({ passes: true, verdict: "passes" });
        }
      }),
    );
  });

  test("the cups hold what was asked, on top of the base water", () => {
    fc.assert(
      fc.property(plans, (plan) => {
        const { predicted, mismatch } = matchMinerals(plan);
        for (const { ion, before } of mismatch.ions) {
          const finished = plan.beverageGrams + plan.doseMillilitres;
          const passed = Number(plan.transfer) * plan.beverageGrams + plan.doseMillilitres;
          const base = ((plan.baseIons[ion] ?? 0) * passed) / finished;
          expect(predicted.before[ion]).toBeCloseTo(before + base, 8);
          expect(predicted.after[ion]).toBeCloseTo(before + base, 8);
        }
      }),
    );
  });

  test("a batch or stock of another size changes no concentration", () => {
    const factor = fc.double({ min: 0.1, max: 50, noNaN: true });
    fc.assert(
      fc.property(plans, factor, factor, (plan, batches, stocks) => {
        const small = matchMinerals(plan);
        const large = matchMinerals({
          ...plan,
          batchGrams: plan.batchGrams * batches,
          stockMillilitres: plan.stockMillilitres * stocks,
        });
        for (const [index, weighing] of small.recipe.batch.entries()) {
          const scaled = large.recipe.batch[index]?.grams ?? 0;
          expect(Math.abs(scaled - weighing.grams * batches)).toBeLessThan(1e-9 * scaled);
        }
        for (const [index, { gramsPerLitre }] of small.recipe.stock.entries()) {
          expect(large.recipe.stock[index]?.gramsPerLitre).toBe(gramsPerLitre);
        }
        for (const [index, ion] of small.mismatch.ions.entries()) {
          const other = large.mismatch.ions[index]?.before ?? 0;
          expect(Math.abs(other - ion.before)).toBeLessThan(1e-9 * ion.before);
        }
      }),
    );
  });
});

describe("the recipe", () => {
  test("makes brew water stronger than the cup by the sham dose and the transfer", () => {
    const { recipe } = matchMinerals({ ...plain, transfer: 0.95 });
    const factor = (336 + 6.72) / (336 * 0.95);
    expect(recipe.batch[0]?.concentrationFactor).toBeCloseTo(factor, 12);
    // 1200 g of water at 20 °C fill 1.20216 L (density 0.998206 kg/L, CRC Handbook).
    expect(recipe.batch[0]?.grams).toBeCloseTo((0.1 * factor * 1.20216) / 0.99, 6);
    expect(recipe.stock[0]?.gramsPerLitre).toBeCloseTo((0.1 * (342.72 / 6.72)) / 0.99, 12);
  });

  test("weighs each salt for its cation where ions pass the bed differently, and shows the rest", () => {
    const match = matchMinerals({ ...plain, transfer: { magnesium: 0.9 } });
    const [magnesium, chloride] = match.mismatch.ions;
    expect(magnesium).toMatchObject({ ion: "magnesium", verdict: "passes" });
    expect(chloride).toMatchObject({ ion: "chloride", verdict: "fails" });
    expect(chloride?.percent).toBeCloseTo(100 / 0.9 - 100, 9);
    expect(match.cautions.map(({ code }) => code)).toContain("transfer-differs");
  });

  test("keeps calcium and bicarbonate in two bottles that dose the same together", () => {
    const salts = [
      { salt: "calcium-chloride-dihydrate", milligramsPerLitre: 66 },
      { salt: "potassium-bicarbonate", milligramsPerLitre: 80 },
    ] as const;
    const match = matchMinerals({ ...plain, salts, afterSalts: salts });
    expect(match.bottles).toMatchObject([
      { salts: [{ salt: "calcium-chloride-dihydrate" }], doseMillilitres: 3.36 },
      { salts: [{ salt: "potassium-bicarbonate" }], doseMillilitres: 3.36 },
    ]);
    expect(match.cautions.map(({ code }) => code)).toContain("precipitates-calcite");
    expect(match.oneStock?.mismatch.percent).toBeLessThan(1e-9);
  });

  test("works for minerals in one arm only, and judges it against the intention", () => {
    const before = matchMinerals({ ...plain, afterSalts: [] });
    expect(before.mismatch).toMatchObject({ percent: null, passes: false });
    expect(before.mismatch.fromIntention.verdict).toBe("passes");
    expect(before.predicted.after).toEqual({ magnesium: 0, chloride: 0 });
    expect(before.oneStock).toBeNull();
    const after = matchMinerals({ ...plain, salts: [], transfer: 0.99 });
    expect(after.recipe.batch).toEqual([]);
    expect(after.mismatch.percent).toBeCloseTo(100, 9);
    expect(after.mismatch.fromIntention.verdict).toBe("passes");
  });
});

describe("the verdict", () => {
  const uncertain = (transfer: number): MatchPlan => ({
    ...plain,
    instruments: { ...perfect, transfer },
  });

  test("passes at the tolerance and is not demonstrated beyond it", () => {
    expect(matchMinerals(uncertain(0.01)).mismatch).toMatchObject({ verdict: "passes" });
    const wide = matchMinerals(uncertain(0.0101));
    expect(wide.mismatch).toMatchObject({ passes: false, verdict: "not-demonstrated" });
    expect(wide.advice[0]).toContain("transfer");
  });

  test("advises by what dominates, and nothing that is chosen already", () => {
    const instruments = {
      ...perfect,
      pipetteMillilitres: 0.3,
      kettleLossFraction: 0.04,
      scaleGrams: 0.007,
    };
    const plan = { ...plain, instruments };
    const { mismatch } = matchMinerals(plan);
    const said = (making: Making) => matchAdvice(plan, mismatch, making).join(" ");
    const weighed = said({ way: "weighed", dosesWeighed: false });
    expect(weighed).toMatch(
      /Least certain is (magnesium|chloride): the weighing of the salts makes \d+ % of its variance/,
    );
    expect(weighed).toContain("make both arms from one stock");
    expect(weighed).toContain("dosing by weight");
    const chosen = said({ way: "double-dummy", dosesWeighed: true });
    for (const option of ["one stock", "dosing by weight", "take the double dummy", "pipette"]) {
      expect(chosen).not.toContain(option);
    }
    expect(chosen).toContain("finer scale for the doses");
    expect(said({ way: "one-stock", dosesWeighed: true })).toContain("take the double dummy");
  });

  test("fails when the weighings are surely apart", () => {
    const weighed = { batch: [{ salt: plain.salts[0]?.salt ?? "sodium-chloride", grams: 0.13 }] };
    const { mismatch } = matchMinerals({ ...plain, weighed });
    expect(mismatch.verdict).toBe("fails");
    // 0.13 g for what should have been 0.1238…: the cup is as much too strong.
    const meant = matchMinerals(plain).recipe.batch[0]?.grams ?? 0;
    expect(mismatch.percent).toBeCloseTo(100 * (0.13 / meant - 1), 9);
  });

  test("rounds weighings to the scale, and asks for a bigger batch when that shows", () => {
    const instruments = { ...perfect, scaleGrams: 0.01, scaleResolutionGrams: 0.01 };
    const coarse = matchMinerals({ ...plain, instruments });
    expect(coarse.mismatch.percent).toBeGreaterThan(1);
    expect(coarse.cautions.map(({ code }) => code)).toContain("weighing-small");
    expect(coarse.advice.join(" ")).toContain("larger lots");
    const fine = matchMinerals({
      ...plain,
      instruments,
      batchGrams: 60_000,
      stockMillilitres: 5000,
    });
    expect(fine.mismatch.percent).toBeLessThan(0.1);
    expect(fine.cautions.map(({ code }) => code)).not.toContain("weighing-small");
  });

  test("counts no error of the stock when both arms share it", () => {
    const instruments = { ...perfect, scaleGrams: 0.05 };
    const { mismatch, oneStock } = matchMinerals({ ...plain, instruments });
    expect(mismatch.expandedUncertaintyPercent).toBeGreaterThan(10);
    expect(oneStock?.mismatch.expandedUncertaintyPercent).toBeLessThan(1e-9);
  });
});

test("a session's needs count whole batches and stocks, and all coffee and water", () => {
  const plan = { ...plain, brews: { before: 4, after: 4 } };
  const { needs, recipe } = matchMinerals(plan);
  const [batch, stock] = [recipe.batch[0]?.grams ?? 0, recipe.stock[0]?.grams ?? 0];
  // Four brews of 390 g take two batches of 1200 g; four doses of 6.72 mL one stock of 500 mL.
  expect(needs).toMatchObject({ coffeeGrams: 208, batches: 2, stocks: 1 });
  expect(needs.salts[0]?.grams).toBeCloseTo(2 * batch + stock, 12);
  // 2400 g, 1560 g for the other arm, and 526.88 mL at 0.998204 g/mL.
  expect(needs.baseWaterGrams).toBeCloseTo(2400 + 1560 + 526.88 * 0.998204, 2);
});
