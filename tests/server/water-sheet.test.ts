import { afterEach, beforeEach, describe, expect, it } from "vitest";
import { type House, openHouse, type Visitor } from "../app.ts";
import { typed, wordsOf, workedExample } from "./water-forms.ts";

describe("The printed water sheet", () => {
  let house: House;
  let lead: Visitor;
  beforeEach(async () => {
    house = await openHouse();
    lead = await house.signedInLead();
    await lead.get("/lead/water/match");
  });
  afterEach(() => house.close());

  const sheetOf = async (form: Record<string, string>) => {
    const saved = await lead.post("/lead/water/match", { ...form, act: "save", name: "On paper" });
    return (await lead.get(`${saved.headers.location}/sheet`)).body;
  };
  const labelsOf = (html: string) =>
    [
      ...html.matchAll(/<div class="bottle-label"><strong[^>]*>([^<]*)<\/strong><span>([^<]*)</g),
    ].map(([, code = "", what = ""]) => `${code} ${what}`);

  it("holds all amounts, with a box to tick and blanks for weight, lot and assay at each salt", async () => {
    const html = await sheetOf(workedExample);
    for (const amount of ["5.17 g", "3.38 g", "4.09 g", "11.96 g", "3.36 g", "1200.0 g"]) {
      expect(html).toContain(amount);
    }
    const rows = [...html.matchAll(/<tr><th scope="row">(.*?)<\/tr>/g)].map(([, row = ""]) => row);
    const salts = rows.filter((row) => row.includes("MgCl2·6H2O") || row.includes("KHCO3,"));
    expect(salts).toHaveLength(2);
    for (const row of salts) {
      expect(row).toContain('class="tick"');
      expect(row.match(/class="blank"/g)).toHaveLength(3);
    }
  });

  it("holds mock cups, cautions, time list and shopping list", async () => {
    const words = wordsOf(await sheetOf(workedExample));
    for (const part of ["Check with mock cups", "Mind this", "When to do what", "To have ready"]) {
      expect(words).toContain(part);
    }
    expect(words).toContain("Food-grade salts only");
    expect(words).toContain("Local codes");
    expect(words).toContain("This sheet is a key");
  });

  it("prints as many blind labels for each arm, with the same words, in order of code", async () => {
    const labels = labelsOf(
      await sheetOf({ ...workedExample, labelBefore: "R7", labelAfter: "B2" }),
    );
    const blind = labels.filter((label) => !label.startsWith("Stock"));
    expect(blind).toEqual([
      "B2 brew water",
      "B2 addition 1",
      "B2 addition 2",
      "R7 brew water",
      "R7 addition 1",
      "R7 addition 2",
    ]);
  });

  it("gives nothing of the arms away on a blind label, whichever arm has the minerals", async () => {
    const first = labelsOf(await sheetOf(typed({ arms: "after-only" })));
    expect(first.filter((label) => /mineral|sham|before|after/i.test(label))).toEqual([]);
    const counts = ["K3", "R7"].map(
      (code) => first.filter((label) => label.startsWith(code)).length,
    );
    expect(counts[0]).toBe(counts[1]);
  });

  it("keeps to the units of the match", async () => {
    const words = wordsOf(
      await sheetOf(
        typed({
          units: "us",
          doseGrams: "1",
          brewWaterGrams: "16",
          beverageGrams: "14",
          batchGrams: "64",
          doseMillilitres: "0.28",
          stockMillilitres: "8",
          temperature: "68",
          scaleStep: "0.01",
          scaleTolerance: "0.01",
          pipetteTolerance: "0.01",
          stockTolerance: "0.01",
        }),
      ),
    );
    expect(words).toContain("16.000 oz of mineral brew water");
  });
});
