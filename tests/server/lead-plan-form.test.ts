import { describe, expect, it } from "vitest";
import { newDraft } from "../../server/lead/new-plan.ts";
import { draftOf, readPlan } from "../../server/lead/plan-form.ts";
import { planSchema } from "../../src/experiment/plan.ts";
import { examplePlan } from "../sealed-session.ts";

const example = draftOf(examplePlan);
const problems = (change: Record<string, string>) => {
  const reading = readPlan({ ...example, ...change });
  return reading.ok ? {} : reading.errors;
};

describe("The plan form", () => {
  it("reads back the plan that it was filled from, whatever the plan asks", () => {
    const plans = [
      examplePlan,
      { ...examplePlan, brewLimits: null, substances: [], hypothesis: "" },
      { ...examplePlan, cannotTellAllowed: true, coffeeOrder: "balanced", alpha: 0.01 },
      {
        ...examplePlan,
        serving: { palateRestSeconds: 45, servingFromMinutes: 5, windowMinutes: 20 },
      },
    ];
    for (const plan of plans.map((one) => planSchema.parse(one))) {
      expect(readPlan(draftOf(plan))).toEqual({ ok: true, plan });
    }
  });

  it("needs from a new plan only its title, question, treatments and coffees", () => {
    const reading = readPlan(newDraft);
    expect(reading.ok ? [] : Object.keys(reading.errors).toSorted()).toEqual([
      "coffees",
      "question",
      "title",
      "treatments.A.name",
      "treatments.B.name",
    ]);
  });

  it("says of which treatment it speaks, and calls the experiment's name a name", () => {
    const [title, ...names] = ["title", "treatments.A.name", "treatments.B.name"];
    const gaps = problems({ title: "", "treatments.A.name": "", "treatments.B.name": "" });
    expect(gaps[title ?? ""]).toBe("Give the experiment a name");
    expect(names.map((name) => gaps[name])).toEqual([
      "Treatment A: Name the treatment",
      "Treatment B: Name the treatment",
    ]);
  });

  it("puts a message at the field of every absurd number", () => {
    const absurd = {
      tasters: "-3",
      spareSeats: "1.5",
      brewPairsPerCoffee: "0",
      replicates: "1e9",
      alpha: "5",
      "recipe.doseGrams": "sixty",
      "recipe.servingTemperatureCelsius": "140",
      "brewLimits.brewSeconds": "",
      "controls.samePot": "77",
      "treatments.B.mineralsInReadingMilligramsPerLitre": "a lot",
    };
    expect(Object.keys(problems(absurd)).toSorted()).toEqual(Object.keys(absurd).toSorted());
  });

  it("wants the serving window to open before it closes, and says so where it opens", () => {
    const times = (from: string, within: string) =>
      problems({ "serving.servingFromMinutes": from, "serving.windowMinutes": within });
    expect(times("5", "20")).toEqual({});
    expect(times("5", "")).toEqual({});
    expect(times("20", "20")).toEqual({
      "serving.servingFromMinutes": "Give fewer than the 20 minutes after which a cup is too cold",
    });
    expect(Object.keys(times("soon", "late"))).toEqual([
      "serving.servingFromMinutes",
      "serving.windowMinutes",
    ]);
  });

  it("names the line of a list and the row of a question", () => {
    const errors = problems({
      coffees: `Sallow\n${"x".repeat(61)}`,
      brewers: `North\n${"y".repeat(41)}`,
      "direction.0.margin": "100",
      "score.0.lowAnchor": "",
    });
    expect(errors.coffees).toMatch(/^Line 2: /);
    expect(errors.brewers).toMatch(/^Line 2: /);
    expect(errors["direction.0.margin"]).toContain("less than 100 %");
    expect(errors["score.0.lowAnchor"]).toBe("Name it");
  });

  it("takes a margin under one percent for a slip", () => {
    expect(problems({ "overall.margin": "0.3" })["overall.margin"]).toContain("type 30 for 30 %");
    expect(problems({ "yield.margin": "0.3" })).toEqual({});
  });

  it("wants exactly one main question", () => {
    expect(problems({ "overall.role": "" }).endpoints).toContain("exactly one main question");
    expect(problems({ "preference.role": "primary" }).endpoints).toContain("exactly one");
  });

  it("reads decimal commas, blank lines and roasts after a comma", () => {
    const reading = readPlan({
      ...example,
      alpha: "0,05",
      coffees: "\n Sallow , very light, washed \n\nMarsh\n",
    });
    expect(reading.ok && reading.plan.alpha).toBe(0.05);
    expect(reading.ok && reading.plan.coffees).toEqual([
      { id: "c1", name: "Sallow", roast: "very light, washed" },
      { id: "c2", name: "Marsh", roast: "" },
    ]);
  });

  it("drops a question whose attribute is emptied and keeps the ones after it", () => {
    const more = {
      "direction.1.attribute": "sweet",
      "direction.1.role": "exploratory",
      "direction.1.margin": "25",
      "direction.1.expected": "",
    };
    const reading = readPlan({ ...example, ...more, "direction.0.attribute": " " });
    const attributes = reading.ok
      ? reading.plan.endpoints.map((one) => ("attribute" in one ? one.attribute : one.kind))
      : [];
    expect(attributes).toEqual([
      "overall-difference",
      "sweet",
      "preference",
      "sourness",
      "extraction-yield",
    ]);
  });
});
