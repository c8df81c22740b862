import fc from "fast-check";
import { expect, test } from "vitest";
import {
  dilutedStrength,
  temperatureAfterDose,
  undilutedStrength,
} from "../../src/brew/dilution.ts";

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

// An invented brew of 336 g at 1.480 %, worked out by hand.
test("a dose of 2 % thins 1.480 % to 1.451 % and cools 72 °C by one kelvin", () => {
  expect(dilutedStrength(1.48, 336, 6.72)).toBeCloseTo(1.45098, 5);
  const mixed = temperatureAfterDose(
    { grams: 336, temperature: 72 },
    { grams: 6.72, temperature: 21 },
  );
  expect(mixed).toBeCloseTo(71, 9);
});

test("steam that leaves concentrates what stays", () => {
  expect(dilutedStrength(1.48, 336, -3)).toBeCloseTo(1.49333, 5);
});
