import { describe, expect, it } from "vitest";
import { ionDifference, ionEffects } from "../../../src/report/synthesis/ion-effects.ts";
import { metaRegression } from "../../../src/statistics/meta-regression.ts";
import { type IonAmounts, ionNames } from "../../../src/water/ions.ts";
import { bcg } from "./bcg.ts";

describe("Meta-regression", () => {
  it("gives the published results of the BCG trials on latitude and year", () => {
    // Viechtbauer (2010), J. Stat. Software 36(3), REML with both moderators (from memory): τ²
    // 0.1108, latitude −0.0280 (SE 0.0102), year 0.0019 (SE 0.0147); confirmed to eight digits in
    // Python (numpy, scipy), which the expected values below are.
    const found = metaRegression(
      bcg.map((trial) => ({ ...trial, explanatory: [1, trial.latitude, trial.year] })),
      { interval: "normal" },
    );
    if (!found.ok) throw new Error(found.refusal);
    const [, latitude, year] = found.coefficients;
    expect(found.tauSquared).toBeCloseTo(0.110785, 5);
    expect(latitude?.estimate).toBeCloseTo(-0.0280113, 6);
    expect(latitude?.standardError).toBeCloseTo(0.010234, 6);
    expect(year?.estimate).toBeCloseTo(0.00190749, 6);
    expect(year?.standardError).toBeCloseTo(0.0146837, 6);
  });

  it("widens by Knapp & Hartung with t on k − p degrees of freedom", () => {
    // Python (numpy, scipy): SE 0.00820142, interval −0.04715292 to −0.01105053 on 11 df.
    const found = metaRegression(
      bcg.map((trial) => ({ ...trial, explanatory: [1, trial.latitude] })),
    );
    if (!found.ok) throw new Error(found.refusal);
    expect(found.df).toBe(11);
    expect(found.coefficients[1]?.standardError).toBeCloseTo(0.00820142, 6);
    expect(found.coefficients[1]?.lower).toBeCloseTo(-0.04715292, 6);
    expect(found.coefficients[1]?.upper).toBeCloseTo(-0.01105053, 6);
  });

  it("refuses too few studies, and variables that are combinations of others", () => {
    const studies = bcg.map((trial) => ({
      ...trial,
      explanatory: [1, trial.latitude, 2 * trial.latitude],
    }));
    expect(metaRegression(studies)).toEqual({ ok: false, refusal: "variables-not-separable" });
    expect(metaRegression(studies.slice(0, 3))).toEqual({ ok: false, refusal: "too-few-studies" });
  });
});

/** What each ion truly does per 10 mg/L. */
const truth: IonAmounts = { magnesium: 0.6, calcium: 0.1, bicarbonate: -0.3 };

/** A session whose true effect is as the ions say, with a little of its own. */
function study(ions: IonAmounts, own = 0) {
  const byIons = ionNames.map((ion) => ((truth[ion] ?? 0) * (ions[ion] ?? 0)) / 10);
  const effect = byIons.reduce((sum, part) => sum + part, own);
  return { effect, variance: 0.04, ionDifference: ions };
}

describe("Ion effects", () => {
  it("are found where recipes change ions apart, chloride making up the charge", () => {
    const found = ionEffects([
      study({ magnesium: 12, chloride: 35 }, 0.02),
      study({ magnesium: 24, chloride: 70 }, -0.02),
      study({ calcium: 20, chloride: 35.4 }, 0.02),
      study({ calcium: 40, bicarbonate: 60, chloride: 35.9 }, -0.02),
      study({ magnesium: 10, bicarbonate: 50 }, 0.01),
    ]);
    if (!found.ok) throw new Error(found.refusal);
    expect(found.partner).toBe("chloride");
    expect(found.aliased).toEqual([]);
    for (const { ion, perTenMilligrams } of found.effects) {
      expect([ion, Math.abs(perTenMilligrams.estimate - (truth[ion] ?? 0)) < 0.05]).toEqual([
        ion,
        true,
      ]);
    }
    expect(found.effects.map(({ ion }) => ion)).toEqual(["calcium", "magnesium", "bicarbonate"]);
  });

  it("are refused for one salt, naming both its ions", () => {
    const found = ionEffects(
      [5, 10, 20, 30].map((mg) => study({ magnesium: mg, chloride: mg * 2.917 })),
    );
    expect(found).toEqual({ ok: false, refusal: "aliased", aliased: ["magnesium", "chloride"] });
  });

  it("are refused for ions that changed in step, even when amounts are rounded, and given for the rest", () => {
    const found = ionEffects([
      study({ magnesium: 12, calcium: 18, chloride: 67 }),
      study({ magnesium: 24, calcium: 36.2, chloride: 134 }),
      study({ magnesium: 5.9, calcium: 9, bicarbonate: 40, chloride: 10 }),
      study({ bicarbonate: 60, sodium: 0, chloride: -35 }),
    ]);
    if (!found.ok) throw new Error(found.refusal);
    expect(found.aliased).toEqual(["calcium", "magnesium"]);
    expect(found.effects.map(({ ion }) => ion)).toEqual(["bicarbonate"]);
  });

  it("need more sessions than ions, and leave sessions without a difference in ions aside", () => {
    const few = [study({ magnesium: 12, chloride: 35 }), study({ calcium: 20, chloride: 35 })];
    expect(ionEffects(few)).toEqual({
      ok: false,
      refusal: "too-few-studies",
      studies: 2,
      needed: 3,
    });
    expect(ionEffects([...few, study({})])).toMatchObject({ studies: 2 });
    expect(ionEffects([study({})])).toMatchObject({ refusal: "no-ions" });
  });

  it("come from B's ions less A's", () => {
    expect(ionDifference({ magnesium: 12, sodium: 5 }, { sodium: 5, calcium: 3 })).toEqual({
      calcium: -3,
      magnesium: 12,
    });
  });
});
