import { describe, expect, it } from "vitest";
import { planOutlook } from "../../src/report/planning.ts";
import {
  brighter,
  brightest,
  duoTrio,
  extractionYield,
  planFor,
  preferred,
  sweetness,
  tetrad,
  triangle,
} from "./sessions.ts";

function outlookOf(...args: Parameters<typeof planFor>) {
  const plan = planFor(...args);
  const outlook = planOutlook(plan);
  const [endpoint] = outlook.endpoints;
  if (!endpoint) throw new Error("no endpoint");
  return { outlook, endpoint };
}

describe("what a plan can find", () => {
  it.each([
    // Exact binomial power of the 5 % triangle test, recomputed with scipy to 1e-12.
    { tasters: 36, effect: 0.3, chance: 0.7155081458791804 },
    { tasters: 36, effect: 0.5, chance: 0.987500738499161 },
    { tasters: 60, effect: 0.3, chance: 0.9225330354580668 },
    { tasters: 100, effect: 0.2, chance: 0.849865253947687 },
  ])("$tasters triangles find $effect of people with $chance", ({ tasters, effect, chance }) => {
    const { difference } = outlookOf([triangle], ["Bramble"], { tasters }).endpoint;
    expect(difference.chances.find((one) => one.effect === effect)?.chance).toBeCloseTo(chance, 12);
  });

  it("the smallest effect found four times in five is the first whole percent that is", () => {
    // 42 triangles find 30 % with 80 %, and 42 is the stable size for it.
    const { difference } = outlookOf([triangle], ["Bramble"], { tasters: 42 }).endpoint;
    expect(difference.smallestEffect).toBeLessThanOrEqual(0.3);
    expect(difference.smallestEffect).toBeGreaterThan(0.25);
  });

  it("nothing can be found where no count is significant", () => {
    const { difference, falseAlarms } = outlookOf([preferred], ["Bramble"], {
      tasters: 5,
    }).endpoint;
    expect(difference).toMatchObject({
      criticalCount: null,
      smallestEffect: null,
      chanceAtMargin: 0,
    });
    expect(falseAlarms.whenIdentical).toBe(0);
  });

  it("repeated pairs of five tasters never differ, whatever pots do: 2/2^5 is above 5 %", () => {
    const names = ["Sallow", "Petrel", "Anvil"];
    const five = outlookOf([preferred], names, { tasters: 5 }).endpoint;
    expect(five.falseAlarms).toEqual({ whenIdentical: 0, whenPotsVary: null });
    // Six who all lean one way reach it: 2/2^6. The sign-flip over tasters then holds the level.
    const six = outlookOf([preferred], names, { tasters: 6 }).endpoint;
    expect(six.falseAlarms).toEqual({ whenIdentical: 0.05, whenPotsVary: null });
  });

  it("alpha split with the coffees leaves half for the overall test", () => {
    const { difference } = outlookOf([brighter], ["Sallow", "Petrel"], {
      coffeeClaims: "split-alpha",
    }).endpoint;
    expect(difference.level).toBe(0.025);
  });

  it("scores by the paired t on an assumed spread: 34 tasters for half of it", () => {
    // Cohen: d = 0.5, two-sided 5 %, n = 34 for 80 %.
    const half = { ...sweetness, margin: 7.5 };
    expect(
      outlookOf([half], ["Bramble"], { tasters: 34 }).endpoint.difference.chanceAtMargin,
    ).toBeCloseTo(0.8078, 4);
    expect(
      outlookOf([half], ["Bramble"], { tasters: 33 }).endpoint.difference.chanceAtMargin,
    ).toBeCloseTo(0.7954, 4);
  });

  it("scores of five tasters find nothing: 2/2^5 is above 5 %", () => {
    const { difference } = outlookOf([sweetness], ["Bramble"], { tasters: 5 }).endpoint;
    expect(difference).toMatchObject({ chanceAtMargin: 0, smallestEffect: null });
  });
});

describe("what a plan can pass", () => {
  it("pairs look both ways", () => {
    const { similarity } = outlookOf([preferred], ["Bramble"], { tasters: 98 }).endpoint;
    expect((similarity.minimumCount ?? 0) + (similarity.maximumCount ?? 0)).toBe(98);
    expect(similarity.passOne).toBeGreaterThan(0.8);
  });

  it("a panel too small passes nothing", () => {
    const { endpoint } = outlookOf([preferred], ["Sallow", "Petrel"], { tasters: 12 });
    expect(endpoint.similarity).toMatchObject({ maximumCount: null, passOne: 0, passAll: 0 });
  });

  it("yields pass over all brew pairs together", () => {
    const primary = { ...extractionYield, id: "e1", role: "primary" as const };
    const { similarity } = outlookOf([primary], ["Sallow", "Petrel"], {
      brewPairsPerCoffee: 4,
    }).endpoint;
    expect(similarity.passOne).toBe(similarity.passAll);
    expect(similarity.passAll).toBeCloseTo(0.87, 2);
  });
});

describe("what a plan costs", () => {
  it("counts cups, pots and millilitres, controls included", () => {
    const second = { ...brighter, id: "e2", role: "secondary" as const };
    const { outlook } = outlookOf([triangle, second], ["Sallow", "Petrel", "Anvil"], {
      tasters: 12,
      brewPairsPerCoffee: 2,
      controls: { samePot: 1, sameTreatmentPairsPerCoffee: 1 },
    });
    // 3 coffees × 3 pairs × (3 + 2 cups) and one same-pot triangle.
    expect(outlook.cupsPerTaster).toBe(3 * 3 * 5 + 3);
    expect(outlook.presentationsPerTaster).toBe(3 * 3 * 2 + 1);
    expect(outlook.pots).toBe(3 * 3 * 2);
    expect(outlook.millilitresPerTaster).toBe(48 * 40);
    expect(outlook.cupsPerSession).toBe(48 * 12);
  });
});

describe("the process in a plan", () => {
  const claim = (...args: Parameters<typeof planFor>) => outlookOf(...args).endpoint.process;

  it.each([
    // Sign-flip: 2/2^5 is above 5 %, 2/2^6 below; of eight pairs P(X >= 8 or X <= 0) = 2/256, of seven 18/256.
    { pairs: 5, claimable: false, pairsForAnyClaim: 6, pairsThatMustAgree: null },
    { pairs: 8, claimable: true, pairsForAnyClaim: 6, pairsThatMustAgree: 8 },
  ])("$pairs pairs of picks", ({ pairs, ...expected }) => {
    const found = claim([brighter], ["Sallow"], { brewPairsPerCoffee: pairs });
    expect(found).toMatchObject({ pairs, needsControlPairs: false, ...expected });
  });

  it.each([triangle, duoTrio, tetrad, brightest])(
    "$kind, $method: nothing without hidden pairs of pots brewed alike, and few with one",
    (endpoint) => {
      expect(claim([endpoint], ["Sallow"])).toMatchObject({
        needsControlPairs: true,
        claimable: false,
        pairsForAnyClaim: null,
      });
      // One control pair among k + 1 pairs: 1/(k + 1) <= 5 % from 19 on.
      const one = { controls: { samePot: 0, sameTreatmentPairsPerCoffee: 1 } };
      expect(claim([endpoint], ["Sallow"], one)).toMatchObject({
        claimable: false,
        pairsForAnyClaim: 19,
      });
      // Two and two on two coffees: 1/6 each, 1/36 together.
      const two = claim([endpoint], ["Sallow", "Petrel"], {
        brewPairsPerCoffee: 2,
        controls: { samePot: 0, sameTreatmentPairsPerCoffee: 2 },
      });
      expect(two).toMatchObject({ claimable: true, pairs: 4, controlPairs: 4 });
      expect(two.smallestPossiblePValue).toBeCloseTo(1 / 36, 12);
    },
  );
});

describe("how often a plan cries wolf", () => {
  it("on identical cups by the test's own size, more where pots vary by themselves", () => {
    const { falseAlarms, difference } = outlookOf([brighter], ["Bramble"], {
      tasters: 24,
    }).endpoint;
    // 18 of 24: twice P(X >= 18 | 24, 1/2), by R's binom.test; with pots at 0.6 logit 19 %.
    expect(difference.criticalCount).toBe(18);
    expect(falseAlarms.whenIdentical).toBeCloseTo(0.0226558446884155, 12);
    expect(falseAlarms.whenPotsVary?.rate).toBeCloseTo(0.19, 2);
  });

  it("takes a spread of 15 points for scores until a roastery has its own", () => {
    const { difference } = outlookOf([sweetness], ["Bramble"], { tasters: 20 }).endpoint;
    expect(difference.assumedSd).toBe(15);
  });
});
