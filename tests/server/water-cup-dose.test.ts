import { afterEach, beforeEach, describe, expect, it } from "vitest";
import { type House, openHouse, type Visitor } from "../app.ts";
import { wordsOf } from "./water-forms.ts";

describe("The cup-dose page", () => {
  let house: House;
  let lead: Visitor;
  beforeEach(async () => {
    house = await openHouse();
    lead = await house.signedInLead();
  });
  afterEach(() => house.close());

  const ask = async (query: Record<string, string>) => {
    const answer = await lead.get(`/lead/water/cup-dose?${new URLSearchParams(query)}`);
    return { ...answer, status: answer.statusCode, html: answer.body, words: wordsOf(answer.body) };
  };

  it("is an empty form at first", async () => {
    const { statusCode, body } = await lead.get("/lead/water/cup-dose");
    expect(statusCode).toBe(200);
    expect(body).not.toContain('role="status"');
  });

  it("says how much of a stock reaches a target", async () => {
    // v = c·B ∕ (1000·S − c) = 60 × 120 ∕ (20000 − 60): mass balance.
    const { words } = await ask({
      asks: "target",
      target: "60",
      beverage: "120",
      stockGramsPerLitre: "20",
    });
    expect(words).toContain("0.36 mL, or about 7 drops");
    expect(words).toContain("The cup then holds 60.0 mg/L");
  });

  it("says what a number of drops did, with an unweighed dropper's spread of 18 %", async () => {
    const { words } = await ask({
      asks: "drops",
      drops: "10",
      beverage: "200",
      stockGramsPerLitre: "50",
    });
    // 10 × 0.05 mL of 50 g/L in 200.5 mL; the spread of 19 droppers, German et al. 1999.
    expect(words).toContain("The cup then holds 124.7 mg/L");
    expect(words).toContain("relative standard uncertainty of 17.6 %");
    expect(words).toContain("Nobody has weighed this dropper");
  });

  it("narrows the spread when the dropper was calibrated by weighing", async () => {
    const { words } = await ask({
      asks: "drops",
      drops: "20",
      weighings: "1,00 1,02 0,98",
      countedDrops: "20",
    });
    // Mean 1.000 g of water in 20 drops at 20 °C: 1.000 / 0.99820 / 20 = 0.05009 mL (density by Kell).
    expect(words).toContain("A drop is taken as 0.0501 mL");
    // Spread 0.02 g and a scale of ±0.02 g by steps of 0.01 g: √(0.02² + 0.0168²) = 0.0261 of 1 g.
    expect(words).toContain("relative standard uncertainty of 2.6 % by your weighings");
    expect(words).not.toContain("Nobody has weighed");
  });

  it("takes ounces and shows fluid ounces", async () => {
    const { words } = await ask({
      units: "us",
      beverage: "4.2329",
      target: "60",
      stockGramsPerLitre: "20",
    });
    // 0.361 mL ∕ 29.5735.
    expect(words).toContain("0.0122 fl oz");
  });

  it("warns of a stock that will not dissolve", async () => {
    const { words } = await ask({ salt: "calcium-sulfate-dihydrate", stockGramsPerLitre: "20" });
    expect(words).toContain("won&#x27;t dissolve");
  });

  it.each([
    [{ target: "" }, "target", "as a number"],
    [{ beverage: "0" }, "beverage", "above 0"],
    [{ stockGramsPerLitre: "0.05", target: "60" }, "stockGramsPerLitre", "stronger stock"],
    [{ asks: "drops", drops: "a few" }, "drops", "as a number"],
    [{ asks: "drops", drops: "-2" }, "drops", "0 or more"],
    [{ weighings: "1.00 0.99" }, "weighings", "at least three weighings"],
    [{ weighings: "1.00 x 0.99" }, "weighings", "at least three weighings"],
    [{ weighings: "1 1 1", countedDrops: "0" }, "countedDrops", "1 or more"],
  ])(
    "says at its field what is wrong with %o and keeps what was typed",
    async (query, field, message) => {
      const { status, html } = await ask(query);
      expect(status).toBe(422);
      const error = new RegExp(
        `id="${field}-error"><span class="sr">Mistake: </span>([^<]*)<`,
      ).exec(html)?.[1];
      expect(error).toContain(message);
      for (const value of Object.values(query)) expect(html).toContain(`value="${value}"`);
    },
  );
});
