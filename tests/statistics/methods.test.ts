import fc from "fast-check";
import { describe, expect, it } from "vitest";
import { familyOf, type SetRequest } from "../../src/design/serving-orders.ts";
import { methods } from "../../src/statistics/discrimination.ts";
import { type MethodName, methodNames } from "../../src/statistics/methods/method.ts";
import { type Chance, seeded } from "./chance.ts";

const records = methodNames.map((name) => ({ ...methods[name], name }));

describe.each(records)("$name", ({ name, guessing, proportionCorrect, dPrime, ...method }) => {
  it("is pure guessing without a difference and certainty with an enormous one", () => {
    expect(proportionCorrect(0)).toBeCloseTo(guessing, 15);
    expect(proportionCorrect(40)).toBeCloseTo(1, 14);
    expect(proportionCorrect(40)).toBeLessThanOrEqual(1);
  });

  it("answers more often correctly the larger the difference", () => {
    fc.assert(
      fc.property(size(0, 8), size(0.01, 2), (d, more) => {
        expect(proportionCorrect(d + more)).toBeGreaterThan(proportionCorrect(d));
      }),
    );
  });

  it("leads back from a proportion correct to its d′", () => {
    fc.assert(
      fc.property(fc.double({ min: 1e-9, max: 1 - 1e-12, noNaN: true }), (share) => {
        const pc = guessing + share * (1 - guessing);
        fc.pre(pc > guessing && pc < 1);
        expect(Math.abs(proportionCorrect(dPrime(pc)) - pc)).toBeLessThan(1e-15);
      }),
    );
  });

  it("is what tasters do who follow its rule on noisy perceptions", () => {
    const chance = seeded(20260101);
    for (const d of [0, 1, 2]) {
      const trials = 40_000;
      let correct = 0;
      for (let i = 0; i < trials; i += 1) if (answersCorrectly[name](d, chance)) correct += 1;
      const expected = proportionCorrect(d);
      const deviation = Math.sqrt((expected * (1 - expected)) / trials);
      expect(Math.abs(correct / trials - expected) / deviation).toBeLessThan(4);
    }
  });

  it("tells tasters what to do", () => {
    expect(method.instruction.length).toBeGreaterThan(20);
    expect(method.title.length).toBeGreaterThan(3);
  });
});

describe("serving sequences", () => {
  const sets: Record<MethodName, SetRequest> = {
    triangle: { kind: "triangle" },
    "duo-trio": { kind: "duo-trio", reference: "balanced" },
    tetrad: { kind: "tetrad" },
    "three-afc": { kind: "three-afc", oddTreatment: "B" },
    "paired-comparison": { kind: "ab" },
  };

  it.each(methodNames)("of the %s are those that sessions are served by", (name) => {
    const family = familyOf(sets[name]);
    const served = family.orders.map((order) =>
      order.map((arm) => (arm === "X" ? "A" : "B")).join(""),
    );
    expect([...methods[name].sequences].sort()).toEqual([...served].sort());
    expect(methods[name].referenceFirst).toBe(family.referenceFirst);
  });

  it("number 6, 4, 6, 2 and 3, as ISO 4120, ISO 10399 and ISO 5495 list them", () => {
    const counts = methodNames.map((name) => new Set(methods[name].sequences).size);
    expect(counts).toEqual([6, 4, 6, 2, 3]);
  });
});

type Rule = (dPrime: number, chance: Chance) => boolean;

/** The decision rules of the methods on one-dimensional perceptions (Ennis 1993; Rousseau & Ennis 2013). */
const answersCorrectly: Record<MethodName, Rule> = {
  // The pair that lies closest together is taken for the two that are alike.
  triangle: (d, { normal }) => {
    const [first, second, odd] = [normal(), normal(), normal() + d];
    const alike = Math.abs(first - second);
    return alike < Math.abs(first - odd) && alike < Math.abs(second - odd);
  },
  "duo-trio": (d, { normal }) => {
    const reference = normal();
    return Math.abs(normal() - reference) < Math.abs(normal() + d - reference);
  },
  // The two weakest make one group: right when they are alike.
  tetrad: (d, { normal }) => {
    const [weak, strong] = [
      [normal(), normal()],
      [normal() + d, normal() + d],
    ];
    return Math.max(...weak) < Math.min(...strong) || Math.max(...strong) < Math.min(...weak);
  },
  "paired-comparison": (d, { normal }) => normal() + d > normal(),
  "three-afc": (d, { normal }) => normal() + d > Math.max(normal(), normal()),
};

function size(min: number, max: number) {
  return fc.double({ min, max, noNaN: true });
}
