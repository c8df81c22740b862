import fc from "fast-check";
import { expect, test } from "vitest";
import { dilutedStrength, undilutedStrength } from "../../src/brew/dilution.ts";

test("a dilution undone is a dilution never done", () => {
  const amount = fc.double({ min: 1, max: 2000, noNaN: true });
  const strength = fc.double({ min: 0, max: 15, noNaN: true });
  fc.assert(
    fc.property(strength, amount, amount, (before, beverage, added) => {
      const after = dilutedStrength(before, beverage, added);
      expect(undilutedStrength(after, beverage, added)).toBeCloseTo(before, 11);
    }),
  );
});
