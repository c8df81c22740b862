import { describe, expect, test } from "vitest";
import { type CautionPlan, notices } from "../../src/safety/notices.ts";

const sitting: CautionPlan = { cups: 12, millilitresPerCup: 30, servingTemperature: 58 };
const codes = (plan: CautionPlan) => notices(plan).map((notice) => notice.code);

describe("notices", () => {
  test("stop a sitting over 200 mg of caffeine and pass one at the limit", () => {
    expect(codes({ ...sitting, cups: 50, millilitresPerCup: 10 })).not.toContain(
      "caffeine-over-limit",
    );
    const over = notices({ ...sitting, cups: 51, millilitresPerCup: 10 });
    expect(over[0]).toMatchObject({ code: "caffeine-over-limit", severity: "stop" });
    expect(over[0]?.text).toContain("204 mg");
  });

  test("ask to spit when only spitting keeps the sitting within the limit", () => {
    const spat = { ...sitting, cups: 24, swallowedFraction: 0.3 };
    expect(codes(spat)).toContain("caffeine-spit");
    expect(codes(spat)).not.toContain("caffeine-over-limit");
    expect(codes(sitting)).not.toContain("caffeine-spit");
  });

  test("warn in pregnancy of any caffeine at all", () => {
    expect(codes({ ...sitting, cups: 1 })).toContain("caffeine-pregnancy");
    expect(codes({ ...sitting, caffeineMilligramsPer100mL: 0 })).not.toContain(
      "caffeine-pregnancy",
    );
  });

  test.each([
    // The burn-prevention chart starts at 49 °C (five minutes); every cup from there on can scald.
    { servingTemperature: 48.9, expected: [] },
    { servingTemperature: 49, expected: ["cup-hot"] },
    { servingTemperature: 58, expected: ["cup-hot"] },
    { servingTemperature: 65, expected: ["cup-hot"] },
    { servingTemperature: 70, expected: ["cup-hot"] },
    { servingTemperature: 70.1, expected: ["cup-too-hot", "cup-hot"] },
    { servingTemperature: undefined, expected: ["cup-heat-unknown"] },
  ])("judge a cup served at $servingTemperature °C", ({ servingTemperature, expected }) => {
    const heat = codes({ ...sitting, servingTemperature }).filter((code) => code.includes("cup-"));
    expect(heat).toEqual(expected);
  });

  test("ask about kidneys, heart and diets only when minerals are added", () => {
    expect(codes(sitting)).not.toContain("minerals-kidney-heart");
    const dosed = codes({ ...sitting, addedMilligramsPerLitre: { potassium: 31 } });
    expect(dosed).toContain("minerals-kidney-heart");
    expect(dosed).toContain("added-potassium");
    expect(dosed).toContain("food-grade");
    expect(dosed).not.toContain("added-sodium");
  });

  test("list every substance any cup may hold, for tasters too", () => {
    const plan = { ...sitting, substances: ["magnesium chloride", "potassium bicarbonate"] };
    const notice = notices(plan).find(({ code }) => code === "substances");
    expect(notice?.text).toContain("magnesium chloride, potassium bicarbonate");
    expect(notice?.audience).toContain("taster");
  });

  test("name declared allergens, and say that none is declared only where none is", () => {
    const declared = notices({ ...sitting, allergens: ["milk", "nuts"] });
    const named = declared.find(({ code }) => code === "allergens-declared");
    expect(named?.text).toContain("any cup may hold milk, nuts");
    expect(declared.map(({ code }) => code)).not.toContain("allergies");
    for (const none of [sitting, { ...sitting, allergens: [] }]) {
      expect(codes(none)).toContain("allergies");
      expect(codes(none)).not.toContain("allergens-declared");
    }
  });

  test("always offer to opt out, defer to local codes, and name a source", () => {
    expect(codes(sitting)).toEqual(expect.arrayContaining(["opt-out", "local-codes"]));
    for (const notice of notices(sitting)) expect(notice.source).not.toBe("");
  });

  test("come gravest first", () => {
    const plan = { ...sitting, cups: 60, servingTemperature: 80 };
    const order = ["stop", "caution", "info"];
    const ranks = notices(plan).map((notice) => order.indexOf(notice.severity));
    expect(ranks).toEqual(ranks.toSorted((left, right) => left - right));
    expect(ranks).toContain(0);
  });
});
