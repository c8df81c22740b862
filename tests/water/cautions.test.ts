import { describe, expect, test } from "vitest";
import { waterCautions } from "../../src/water/cautions.ts";
import { splitIntoBottles, stockCautions } from "../../src/water/stock.ts";
import { onScale, weighingCautions } from "../../src/water/weighing.ts";

const pure = { baseIons: {}, temperature: 20 };
const codes = (found: { code: string }[]) => found.map(({ code }) => code);

describe("cautions of a water", () => {
  test("name published values that it exceeds, and none that it meets", () => {
    const at = codes(waterCautions({ chloride: 250, sodium: 162.1 }));
    expect(at.filter((code) => code.startsWith("guideline-chloride"))).toEqual([]);
    const over = waterCautions({ chloride: 251, sodium: 162.8 });
    expect(codes(over)).toContain("guideline-chloride-who");
    expect(over.find(({ code }) => code === "guideline-chloride-eu")?.source).toContain(
      "2020/2184",
    );
  });

  test("warn of scale and corrosion in hot equipment, and defer to local codes", () => {
    const hard = { calcium: 80, bicarbonate: 243.6, sodium: 60, chloride: 92.5 };
    expect(codes(waterCautions(hard))).toEqual(
      expect.arrayContaining(["scale", "corrosion", "local-codes"]),
    );
    expect(waterCautions({ sodium: 2.3, chloride: 3.545 })).toEqual([]);
  });

  test("doubt an analysis that doesn't balance", () => {
    expect(codes(waterCautions({ calcium: 40 }))).toContain("charge-imbalance");
    const balanced = { calcium: 40.078, bicarbonate: 122.032 };
    expect(codes(waterCautions(balanced))).not.toContain("charge-imbalance");
  });
});

describe("cautions of a stock", () => {
  test("stop what can't dissolve, and warn above half of what can", () => {
    const gypsum = (gramsPerLitre: number) =>
      stockCautions([{ salt: "calcium-sulfate-dihydrate", gramsPerLitre }], pure);
    expect(gypsum(5)[0]).toMatchObject({ code: "solubility", severity: "stop" });
    expect(gypsum(1.5)[0]).toMatchObject({ code: "solubility", severity: "caution" });
    expect(gypsum(0.5)).toEqual([]);
  });

  test("find gypsum between two salts that are each far from saturated", () => {
    const stock = [
      { salt: "magnesium-sulfate-heptahydrate", gramsPerLitre: 12.4 },
      { salt: "calcium-chloride-dihydrate", gramsPerLitre: 6.7 },
    ] as const;
    expect(codes(stockCautions(stock, pure))).toEqual(["precipitates-gypsum"]);
    expect(splitIntoBottles(stock, pure)).toHaveLength(2);
    const chlorides = [
      { salt: "magnesium-chloride-hexahydrate", gramsPerLitre: 10.3 },
      { salt: "calcium-chloride-dihydrate", gramsPerLitre: 6.7 },
    ] as const;
    expect(stockCautions(chlorides, pure)).toEqual([]);
    expect(splitIntoBottles(chlorides, pure)).toHaveLength(1);
  });

  test("see the base water's calcium under a bicarbonate stock", () => {
    const stock = [{ salt: "potassium-bicarbonate", gramsPerLitre: 8 }] as const;
    expect(stockCautions(stock, pure)).toEqual([]);
    const hard = { baseIons: { calcium: 60, bicarbonate: 180 }, temperature: 20 };
    expect(codes(stockCautions(stock, hard))).toEqual(["precipitates-calcite"]);
  });
});

describe("weighings", () => {
  test("under a hundred steps of the scale are named with the batch that would do", () => {
    const weighing = { salt: "sodium-chloride", grams: 0.25 } as const;
    const [caution] = weighingCautions([weighing], 0.01, "batch");
    expect(caution?.text).toContain("25 steps of a 0.01 g scale");
    expect(caution?.text).toContain("4.00 times");
    expect(weighingCautions([{ ...weighing, grams: 1 }], 0.01, "batch")).toEqual([]);
  });

  test("are rounded to the display, or not at all on a perfect scale", () => {
    expect(onScale(0.1234, 0.01)).toBeCloseTo(0.12, 12);
    expect(onScale(0.1234, 0)).toBe(0.1234);
  });
});
