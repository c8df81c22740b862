import { describe, expect, it } from "vitest";
import { otherMethods } from "../../src/report/planning/other-methods.ts";
import { criticalCount, upperTail } from "../../src/statistics/binomial.ts";
import { dPrimeOf, methods, proportionCorrectAt } from "../../src/statistics/discrimination.ts";

const risks = { alpha: 0.05, power: 0.8 };

describe("The same difference by other methods", () => {
  const found = otherMethods(0.3, risks);
  const neededBy = (name: string) => found?.needed.find(({ method }) => method === name);

  it("is the same d′ as the triangle's share of people", () => {
    expect(found?.dPrime).toBe(dPrimeOf("triangle", proportionCorrectAt(0.3, 1 / 3)));
    expect(methods.triangle.proportionCorrect(found?.dPrime ?? 0)).toBeCloseTo(8 / 15, 12);
  });

  it.each(["triangle", "tetrad", "duo-trio", "paired-comparison", "three-afc"] as const)(
    "by %s: from the number given on, and not before, it is found four times in five",
    (name) => {
      const { guessing, proportionCorrect } = methods[name];
      const sides = name === "paired-comparison" ? "two" : "one";
      const chance = (answers: number) => {
        const count = criticalCount(answers, guessing, 0.05, sides);
        return count === null
          ? 0
          : upperTail(count, answers, proportionCorrect(found?.dPrime ?? 0));
      };
      const answers = neededBy(name)?.answers ?? 0;
      expect(chance(answers - 1)).toBeLessThan(0.8);
      for (let more = 0; more < 60; more += 1) {
        expect(chance(answers + more)).toBeGreaterThanOrEqual(0.8);
      }
    },
  );

  it("counts cups: four in a tetrad, the reference among the three of a duo-trio", () => {
    const cups = found?.needed.map(({ method, cups: own }) => [method, own]);
    expect(cups).toEqual([
      ["triangle", 3],
      ["tetrad", 4],
      ["duo-trio", 3],
      ["paired-comparison", 2],
      ["three-afc", 3],
    ]);
  });

  // Ennis & Jesionek (2011), J. Sens. Stud. 26, 371: at d′ = 1 the tetrad needs about a third of the
  // triangle's people; from memory.
  it("needs about a third of the people by tetrad, at d′ = 1", () => {
    const noticing = (methods.triangle.proportionCorrect(1) - 1 / 3) / (2 / 3);
    const [triangle, tetrad] = otherMethods(noticing, risks)?.needed ?? [];
    const ratio = (tetrad?.answers ?? 0) / (triangle?.answers ?? 0);
    expect(ratio).toBeGreaterThan(0.28);
    expect(ratio).toBeLessThan(0.38);
  });

  it("says nothing where everybody notices: that has no finite d′", () => {
    expect(otherMethods(1, risks)).toBeNull();
  });
});
