import { describe, expect, it } from "vitest";
import { planInWords } from "../../server/lead/plan-words.ts";
import type { Plan } from "../../src/experiment/plan.ts";
import { examplePlan } from "../sealed-session.ts";

const readingsUnder = (inA: number, inB: number) => {
  const { A, B } = examplePlan.treatments;
  const plan: Plan = {
    ...examplePlan,
    treatments: {
      A: { ...A, mineralsInReadingMilligramsPerLitre: inA },
      B: { ...B, mineralsInReadingMilligramsPerLitre: inB },
    },
  };
  return planInWords(plan).facts.find(({ term }) => term === "Strength readings")?.text;
};

describe("A plan read back", () => {
  it("says what is in the cup when its strength is read, and that it is taken off", () => {
    expect(readingsUnder(120, 0)).toBe(
      "A with 120 mg/L of added minerals in it, which are taken off; B without added minerals",
    );
    expect(readingsUnder(0, 85)).toContain("B with 85 mg/L");
  });

  it("names the allergens that are declared, and says when there are none", () => {
    const declared = (plan: Plan) =>
      planInWords(plan).facts.find(({ term }) => term === "Allergens declared")?.text;
    expect(declared({ ...examplePlan, allergens: ["milk", "nuts"] })).toBe("milk, nuts");
    expect(declared(examplePlan)).toBe("none");
  });

  it("says that nothing is taken off where no minerals are in any reading", () => {
    expect(readingsUnder(0, 0)).toContain("nothing is taken off");
  });
});
