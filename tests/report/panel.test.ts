import { describe, expect, it } from "vitest";
import { panelForecast } from "../../src/report/planning/panel.ts";
import type { PanelDesign } from "../../src/report/planning/panel-test.ts";
import { repeatedPicksPower } from "../../src/report/planning/repeated-picks.ts";
import { chanceWithSamePeople } from "../../src/report/planning/same-people.ts";
import { power } from "../../src/statistics/panel-size.ts";
import { signFlip } from "../../src/statistics/randomisation.ts";

const panel: Omit<PanelDesign, "question"> = {
  alpha: 0.05,
  power: 0.8,
  tasters: 12,
  coffees: 1,
  brewPairsPerCoffee: 1,
  replicates: 1,
  controlPairsPerCoffee: 0,
};

describe("the chance if always the same people notice", () => {
  // Binomial mixture in exact fractions (Python), rounded once.
  it.each([
    { tasters: 4, answersEach: 10, chance: 0.6527611575984039 },
    { tasters: 12, answersEach: 6, chance: 0.8290790787608853 },
  ])("is $chance for $tasters tasters with $answersEach triangles each", ({ chance, ...test }) => {
    expect(
      chanceWithSamePeople({ method: "triangle", ...test, noticing: 0.3, alpha: 0.05 }),
    ).toBeCloseTo(chance, 12);
  });

  it("is the plain power when each answers once", () => {
    const plain = power({
      method: "triangle",
      assessments: 36,
      effect: { proportionDistinguishing: 0.3 },
    });
    expect(
      chanceWithSamePeople({
        method: "triangle",
        tasters: 36,
        answersEach: 1,
        noticing: 0.3,
        alpha: 0.05,
      }),
    ).toBeCloseTo(plain.power, 12);
  });

  it("plans people: eleven with six answers each, where seven would do if all were alike", () => {
    // In exact fractions (Python): 0.7949 with 10 and 0.8324 with 11; 20 right of 42 if alike (0.8152).
    const question = { kind: "apart", noticing: 0.3 } as const;
    const { needed, chanceIfAlike } = panelForecast({
      ...panel,
      question,
      tasters: 7,
      replicates: 6,
    });
    expect(needed?.smallest.units).toBe(11);
    expect(chanceIfAlike).toBeCloseTo(0.8152093881398814, 12);
  });
});

describe("power of pairs whose tasters repeat", () => {
  const plan = { sides: "two", alpha: 0.05 } as const;

  // The true tail over plus, minus and even tasters in exact fractions (Python), rounded once.
  it.each([
    { tasters: 6, answersEach: 12, pickRate: 0.7, chance: 0.4712575878819754 },
    { tasters: 24, answersEach: 3, pickRate: 0.65, chance: 0.46612983430472515 },
    { tasters: 28, answersEach: 2, pickRate: 0.7, chance: 0.7918476418562685 },
    { tasters: 29, answersEach: 2, pickRate: 0.7, chance: 0.8101138505346885 },
  ])("is $chance for $tasters tasters with $answersEach pairs each", ({ chance, ...rest }) => {
    expect(repeatedPicksPower({ ...plan, ...rest })).toBeCloseTo(chance, 12);
  });

  it("is that of the sign-flip itself with two answers each, over every outcome of seven tasters", () => {
    // Both answers for the other cup, one each way, both for this one.
    const chances = [0.3 ** 2, 2 * 0.3 * 0.7, 0.7 ** 2];
    let found = 0;
    for (let outcome = 0; outcome < 3 ** 7; outcome += 1) {
      const leans = Array.from({ length: 7 }, (_, at) => Math.floor(outcome / 3 ** at) % 3);
      const units = leans.map((lean) => BigInt(2 * lean - 2));
      const answer = signFlip({ units, exponent: 0 });
      const towards = units.reduce((sum, unit) => sum + unit, 0n) > 0n;
      if (!answer.ok || !towards || answer.pValue > 0.05) continue;
      found += leans.reduce((product, lean) => product * (chances[lean] ?? 0), 1);
    }
    expect(found).toBeGreaterThan(0.04);
    expect(repeatedPicksPower({ ...plan, tasters: 7, answersEach: 2, pickRate: 0.7 })).toBeCloseTo(
      found,
      12,
    );
  });

  it("never promises six tasters what six of six must agree on", () => {
    const { needed, have } = panelForecast({
      ...panel,
      question: { kind: "liked", pickRate: 0.7 },
      tasters: 5,
      replicates: 8,
    });
    expect(have.chance).toBe(0);
    expect(needed?.smallest.units).toBeGreaterThan(6);
  });
});

describe("panels of scores", () => {
  it("six find only what makes all six agree: Φ(d)⁶ and its mirror", () => {
    const six = { ...panel, tasters: 6, question: { kind: "scores", points: 15, sd: 15 } as const };
    // Φ(1) = 0.841344746068543 (Abramowitz & Stegun, table 26.1).
    const agree = 0.841344746068543 ** 6 + (1 - 0.841344746068543) ** 6;
    expect(panelForecast(six).have.chance).toBeCloseTo(agree, 12);
  });

  it("five find nothing, and thirty-four half a standard deviation (Cohen 1988)", () => {
    const five = panelForecast({
      ...panel,
      tasters: 5,
      question: { kind: "scores", points: 7.5, sd: 15 },
    });
    expect(five.difference).toMatchObject({ chance: 0, smallestEffect: null });
    expect(five.needed?.stable?.units).toBe(34);
  });
});

describe("closeness", () => {
  it("takes at least nine people at a margin of 30 %, however often each answers", () => {
    // (1 − 0.3)^8 = 0.0576 and (1 − 0.3)^9 = 0.0404: eight may hold none of 30 % by luck alone.
    const asked = { ...panel, question: { kind: "same", noticing: 0.3 } as const, replicates: 8 };
    expect(panelForecast({ ...asked, tasters: 8 }).closeness.passOne).toBe(0);
    expect(panelForecast({ ...asked, tasters: 9 }).closeness.passOne).toBeGreaterThan(0.9);
    expect(panelForecast(asked).needed?.smallest.units).toBe(9);
  });

  it("has the smallest margin of whole percents that identical cups pass", () => {
    const question = { kind: "same", noticing: 0.3 } as const;
    const { closeness } = panelForecast({ ...panel, question, tasters: 46 });
    const margin = closeness.smallestMargin ?? Number.NaN;
    const passes = (noticing: number) =>
      panelForecast({ ...panel, question: { kind: "same", noticing }, tasters: 46 }).have.chance;
    expect(passes(margin)).toBeGreaterThanOrEqual(0.8);
    expect(passes(margin - 0.01)).toBeLessThan(0.8);
  });
});
