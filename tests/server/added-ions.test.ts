import { describe, expect, it } from "vitest";
import { ionsFrom, ionText } from "../../server/lead/ion-text.ts";
import { outlookInWords } from "../../server/lead/outlook-words.ts";
import { draftOf, readPlan } from "../../server/lead/plan-form.ts";
import { type Plan, planSchema } from "../../src/experiment/plan.ts";
import { examplePlan } from "../sealed-session.ts";

describe("Added ions on one line", () => {
  it("are read as people write them: symbols or names, decimal point or comma, any separator", () => {
    const expected = { magnesium: 12, calcium: 18.5, bicarbonate: 40 };
    for (const line of [
      "Mg 12, Ca 18.5, HCO3 40",
      "mg 12; ca 18,5; hco3 40 mg/L",
      "Magnesium: 12 mg/l, calcium=18,5, bicarbonate 40",
      "Mg12, Ca18.5, HCO3 40",
    ]) {
      expect([line, ionsFrom(line)]).toEqual([line, expected]);
    }
  });

  it("are no ions when anything on the line isn't one, or one comes twice", () => {
    for (const line of ["Mg", "12", "Mg 12 Ca 18", "unobtainium 3", "Mg 12, Mg 13", "Mg a lot"]) {
      expect([line, ionsFrom(line)]).toEqual([line, null]);
    }
  });

  it("are written so that they read back the same", () => {
    const ions = { sulfate: 20.25, magnesium: 5, potassium: 0 };
    expect(ionsFrom(ionText(ions))).toEqual(ions);
    expect([ionText({}), ionsFrom("None")]).toEqual(["none", {}]);
  });
});

describe("A plan's added ions", () => {
  const plan: Plan = planSchema.parse({
    ...examplePlan,
    treatments: {
      A: { ...examplePlan.treatments.A, addedIons: {} },
      B: { ...examplePlan.treatments.B, addedIons: { magnesium: 12, calcium: 18 } },
    },
  });

  it("go through the plan form unchanged", () => {
    expect(draftOf(plan)["treatments.B.addedIons"]).toBe("Ca 18, Mg 12");
    expect(readPlan(draftOf(plan))).toEqual({ ok: true, plan });
  });

  it("may be missing: a plan from before they were asked for reads as it did", () => {
    expect(planSchema.parse(examplePlan)).toEqual(examplePlan);
    expect("addedIons" in planSchema.parse(examplePlan).treatments.A).toBe(false);
  });

  it("are asked for again, at their field, when they can't be read or can't be true", () => {
    const typed = (text: string) => {
      const read = readPlan({ ...draftOf(plan), "treatments.A.addedIons": text });
      return read.ok ? {} : read.errors;
    };
    expect(typed("a pinch of Mg")).toEqual({
      "treatments.A.addedIons":
        "Treatment A: Write each ion with its mg/L, for example: Mg 12, Ca 18",
    });
    expect(typed("Mg 90000")).toEqual({
      "treatments.A.addedIons": "Treatment A: At most 5000 mg/L of an ion",
    });
  });

  it("tell the lead how much of a day's magnesium the cups bring", () => {
    // 250 mg a day: SCF 2001 / EFSA 2006, upper level of added, readily dissociable magnesium.
    const { cautions } = outlookInWords(plan);
    expect(cautions.some((caution) => /magnesium/i.test(caution))).toBe(true);
    expect(outlookInWords(examplePlan).cautions.some((text) => /magnesium.*%/i.test(text))).toBe(
      false,
    );
  });
});
