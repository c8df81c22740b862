import fc from "fast-check";
import { describe, expect, test } from "vitest";
import { fromMetric, toMetric } from "../../src/water/entry-units.ts";

describe("amounts as people write them", () => {
  // NIST Handbook 44, Appendix C: exact. Fixed points of the Celsius scale in °F by definition.
  test.each([
    [1, "mass", 28.349523125],
    [16, "mass", 453.59237],
    [1, "volume", 29.5735295625],
    [128, "volume", 3785.411784],
    [32, "temperature", 0],
    [212, "temperature", 100],
    [-40, "temperature", -40],
  ] as const)("%f US units of %s are %f in g, mL or °C", (written, quantity, metric) => {
    expect(toMetric(written, quantity, "us")).toBeCloseTo(metric, 10);
    expect(fromMetric(metric, quantity, "us")).toBeCloseTo(written, 10);
  });

  test("come back as they were, in either system", () => {
    fc.assert(
      fc.property(
        fc.double({ min: -200, max: 1e6, noNaN: true }),
        fc.constantFrom("mass" as const, "volume" as const, "temperature" as const),
        fc.constantFrom("metric" as const, "us" as const),
        (value, quantity, system) => {
          const back = fromMetric(toMetric(value, quantity, system), quantity, system);
          expect(Math.abs(back - value)).toBeLessThanOrEqual(1e-9 * Math.max(1, Math.abs(value)));
        },
      ),
    );
  });
});
