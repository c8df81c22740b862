import { describe, expect, it } from "vitest";
import { outlookInWords } from "../../server/lead/outlook-words.ts";
import { cupsSentences } from "../../server/lead/panel-size-words.ts";
import type { Endpoint } from "../../src/experiment/endpoint.ts";
import { panelForecast } from "../../src/report/planning/panel.ts";
import type { PanelDesign } from "../../src/report/planning/panel-test.ts";
import {
  brightest,
  duoTrio,
  extractionYield,
  planFor,
  preferred,
  tetrad,
  triangle,
} from "../report/sessions.ts";

const coffees = ["Sallow", "Petrel", "Anvil"];

function cupsLine(endpoint: Endpoint) {
  const { main } = outlookInWords(planFor([endpoint], coffees));
  return main[0]?.lines.find(({ term }) => term === "These cups")?.text;
}

describe("a plan whose tasters repeat", () => {
  it("says of triangles whose chance it is, and not that it could be less", () => {
    expect(cupsLine(triangle)).toMatch(/, taking it that always the same people notice\.$/);
    expect(cupsLine(triangle)).not.toContain("unlike");
  });

  it("says of pairs that unlike tasters find less", () => {
    expect(cupsLine(preferred)).toMatch(/, less when tasters are unlike\.$/);
  });
});

describe("a plan whose trays hold one treatment more often", () => {
  const warnings = (endpoint: Endpoint, tasters = 12) =>
    outlookInWords(planFor([endpoint], coffees, { tasters })).warnings;
  const tells = (endpoint: Endpoint) =>
    warnings(endpoint).some((one) => one.includes("the pour sheet shows which pots are alike"));

  it("says what the pour sheet gives away, with a constant reference or a 3-AFC", () => {
    expect(tells({ ...duoTrio, reference: "A" })).toBe(true);
    expect(tells(brightest)).toBe(true);
    for (const even of [duoTrio, tetrad, triangle, preferred]) expect(tells(even)).toBe(false);
  });

  it("warns of the fuller pot running dry, and not of the pots on average", () => {
    // 12 tasters: 1.5 cups of 40 mL from each pot, 18 and 3 spares; from the fuller one 24 and 3.
    // The recipe leaves 1000 − 2 · 60 = 880 mL, which is 22 cups.
    const dry = (endpoint: Endpoint) =>
      warnings(endpoint, 12).find((one) => one.startsWith("A pot fills about"));
    expect(dry(duoTrio)).toBeUndefined();
    expect(dry({ ...duoTrio, reference: "A" })).toContain("about 27 cups");
  });
});

describe("the panel-size page on triangles that repeat", () => {
  const design = (tasters: number): PanelDesign => ({
    question: { kind: "apart", noticing: 0.3 },
    alpha: 0.05,
    power: 0.8,
    tasters,
    coffees: 3,
    brewPairsPerCoffee: 1,
    replicates: 1,
    controlPairsPerCoffee: 0,
  });
  const repeats = (tasters: number) => {
    const forecast = panelForecast(design(tasters));
    const text = cupsSentences(design(tasters), forecast).find((one) => one.startsWith("Tasters"));
    return { text, forecast };
  };

  it("says that repeats help less where alike tasters would find more", () => {
    const { text, forecast } = repeats(24);
    expect(forecast.chanceIfAlike).toBeGreaterThan(forecast.difference.chance);
    expect(text).toContain("repeats help less than new people");
  });

  it("doesn't where alike tasters would find less", () => {
    const { text, forecast } = repeats(3);
    expect(forecast.chanceIfAlike).toBeLessThan(forecast.difference.chance);
    expect(text).not.toContain("help less");
    expect(text).toContain("Were tasters all alike");
  });
});

describe("a question that the panel can never answer", () => {
  const supporting = { ...preferred, id: "e2", role: "secondary" } as const;
  const never = (plan: ReturnType<typeof planFor>) =>
    outlookInWords(plan).warnings.filter((one) => one.includes("can never show a difference"));

  it("is warned of once, with the panel that could", () => {
    const plan = planFor([preferred], coffees, { tasters: 5 });
    expect(never(plan)).toEqual([
      expect.stringMatching(
        /^With 5 tasters the main question, “Which is liked better\? \(paired preference\)”, can never show a difference, however it turns out\. \d+ tasters would find a difference that 30 % of people truly notice 80 % of the time or more\.$/,
      ),
    ]);
    expect(outlookInWords(plan).warnings.join(" ")).not.toContain("Too few for the main question");
  });

  it("is warned of when it is a supporting one", () => {
    const warnings = never(planFor([triangle, supporting], coffees, { tasters: 5 }));
    expect(warnings).toEqual([expect.stringContaining("a supporting question")]);
  });

  it("is warned of by brew pairs where these are the unit", () => {
    const warnings = never(planFor([triangle, extractionYield], coffees));
    expect(warnings).toEqual([expect.stringMatching(/^With 3 brew pairs a supporting question/)]);
  });

  it("is left alone when it is only explored, or can be answered", () => {
    const explored = { ...supporting, role: "exploratory" } as const;
    expect(never(planFor([triangle, explored], coffees, { tasters: 5 }))).toEqual([]);
    expect(never(planFor([triangle, supporting], coffees, { tasters: 6 }))).toEqual([]);
  });
});
