import { describe, expect, it } from "vitest";
import { planOutlook } from "../../src/report/planning.ts";
import { wordOutlook } from "../../src/report/wording/planning.ts";
import { brighter, extractionYield, planFor, preferred, sweetness, triangle } from "./sessions.ts";

const plain = (text: string) => text.replaceAll("\u00a0", " ");

function outlookOf(...args: Parameters<typeof planFor>) {
  const plan = planFor(...args);
  const outlook = planOutlook(plan);
  const [endpoint] = outlook.endpoints;
  if (!endpoint) throw new Error("no endpoint");
  return { plan, outlook, endpoint, words: wordOutlook(outlook, plan) };
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

  it("a panel too small passes nothing, and says so", () => {
    const { endpoint, words } = outlookOf([preferred], ["Sallow", "Petrel"], { tasters: 12 });
    expect(endpoint.similarity).toMatchObject({ maximumCount: null, passOne: 0, passAll: 0 });
    expect(plain(words.endpoints[0]?.canPass[0] ?? "")).toBe(
      "Coffees that are truly the same would pass as close enough 0 % of the time on one coffee, and 0 % of the time on all 2, as the claim needs.",
    );
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
    const { outlook, words } = outlookOf([triangle, second], ["Sallow", "Petrel", "Anvil"], {
      tasters: 12,
      brewPairsPerCoffee: 2,
      controls: { samePot: 1, sameTreatmentPairsPerCoffee: 1 },
    });
    // 3 coffees × 3 pairs × (3 + 2 cups) and one same-pot triangle.
    expect(outlook.cupsPerTaster).toBe(3 * 3 * 5 + 3);
    expect(outlook.presentationsPerTaster).toBe(3 * 3 * 2 + 1);
    expect(outlook.pots).toBe(3 * 3 * 2);
    expect(words.cups).toBe(
      "48 cups a taster, 1,920 mL if all is drunk; 576 cups from 18 pots in all.",
    );
  });
});

describe("the process in a plan", () => {
  it.each<[Parameters<typeof planFor>, string]>([
    [
      [[brighter], ["Sallow"], { brewPairsPerCoffee: 5 }],
      "No claim beyond these pots is possible: 5 brew pairs, and it takes at least 6.",
    ],
    [
      [[brighter], ["Sallow"], { brewPairsPerCoffee: 8 }],
      "A claim beyond these pots is possible: about 8 of 8 brew pairs would have to lean one way.",
    ],
    [
      [[triangle], ["Sallow"]],
      "No claim beyond these pots is possible: right and wrong answers need hidden pairs of pots brewed alike to compare with.",
    ],
    [
      [[triangle], ["Sallow"], { controls: { samePot: 0, sameTreatmentPairsPerCoffee: 1 } }],
      "No claim beyond these pots is possible: 1 brew pair, and it takes at least 19.",
    ],
    [
      [
        [triangle],
        ["Sallow", "Petrel"],
        { brewPairsPerCoffee: 2, controls: { samePot: 0, sameTreatmentPairsPerCoffee: 2 } },
      ],
      "A claim beyond these pots is possible with 4 brew pairs and 4 brewed alike.",
    ],
  ])("%#", (args, sentence) => {
    expect(outlookOf(...args).words.endpoints[0]?.process).toBe(sentence);
  });
});

describe("a plan in words", () => {
  it("says what it takes, what it finds and how often it cries wolf", () => {
    const [words] = outlookOf([brighter], ["Bramble"], { tasters: 24 }).words.endpoints;
    expect(words?.canFind.map(plain)).toEqual([
      "A difference as large as the margin (65 % picking one side) would be found 21 % of the time.",
      "The smallest difference found 4 times in 5 is 80 % picking one side.",
      "It takes at least 18 of one kind of 24.",
    ]);
    expect(words?.falseAlarms.map(plain)).toEqual([
      'If the cups are identical, it says "different" at most 3 % of the time.',
      "If the treatment does nothing but pots vary by themselves about as much as we assume, these cups still differ, and are found to, 19 % of the time: that is why the claim beyond these pots counts pairs.",
    ]);
  });

  it("says so when tasters repeat, and what spread it assumes", () => {
    const repeated = outlookOf([triangle], ["Bramble"], { replicates: 2 }).words.endpoints[0];
    expect(repeated?.canFind.at(-1)).toBe(
      "Tasters answer more than once: this takes it that always the same people notice, and the others guess.",
    );
    const pairs = outlookOf([preferred], ["Bramble"], { replicates: 2 }).words.endpoints[0];
    expect(pairs?.canFind.at(-1)).toMatch(
      /if they differ among themselves, true chances are lower/,
    );
    const scored = outlookOf([sweetness], ["Bramble"], { tasters: 20 }).words.endpoints[0];
    expect(scored?.canFind.at(-1)).toMatch(/standard deviation of 15 points/);
  });
});
