import fc from "fast-check";
import { describe, expect, it } from "vitest";
import {
  commonDivisor,
  commonMultiple,
  gridOf,
  gridOfDifferences,
  gridValues,
  onGrid,
  quotient,
} from "../../src/statistics/decimals.ts";

const anyNumber = fc.double({ noNaN: true, noDefaultInfinity: true });

describe("numbers on a decimal grid", () => {
  it("come back as they were, whatever their size", () => {
    fc.assert(
      fc.property(fc.array(anyNumber, { minLength: 1, maxLength: 5 }), (values) => {
        expect(gridValues(gridOf(values))).toEqual(values.map((value) => value + 0));
      }),
    );
  });

  it("are what their shortest text says: 0.1 is a tenth and 0.3 − 0.1 is 0.2", () => {
    expect(gridOf([0.1, 2.25, 3e-7, -1e21])).toEqual({
      units: [1_000_000n, 22_500_000n, 3n, -(10n ** 28n)],
      exponent: -7,
    });
    expect(0.3 - 0.1).not.toBe(0.2);
    expect(gridValues(gridOfDifferences([[0.3, 0.1]]))).toEqual([0.2]);
  });

  it("keep a difference whose text is longer than a double", () => {
    const { units } = gridOfDifferences([[1e15, 0.001]]);
    expect(units).toEqual([999_999_999_999_999_999n]);
  });
});

describe("a quotient of whole numbers", () => {
  it("is the nearest double, as division of doubles is where these are exact", () => {
    const whole = fc.maxSafeInteger();
    fc.assert(
      fc.property(
        whole,
        whole.filter((n) => n > 0),
        fc.nat(300),
        (a, b, zeros) => {
          const scale = 10n ** BigInt(zeros);
          expect(quotient(BigInt(a) * scale, BigInt(b) * scale)).toBe(a / b + 0);
        },
      ),
    );
  });

  it("reads a decimal as the language itself does", () => {
    fc.assert(
      fc.property(
        fc.bigInt({ min: 1n, max: 10n ** 30n }),
        fc.integer({ min: -300, max: 250 }),
        (n, e) => {
          expect(onGrid(n, 1n, e)).toBe(Number(`${n}e${e}`));
        },
      ),
    );
  });
});

describe("common divisors and multiples", () => {
  it("divide and are divided by all", () => {
    const sizes = fc.array(fc.integer({ min: 1, max: 60 }), { minLength: 1, maxLength: 6 });
    fc.assert(
      fc.property(sizes, (numbers) => {
        const divisor = commonDivisor(numbers.map(BigInt));
        const multiple = commonMultiple(numbers);
        for (const number of numbers) {
          expect(BigInt(number) % divisor).toBe(0n);
          expect(multiple % BigInt(number)).toBe(0n);
        }
      }),
    );
    expect(commonMultiple([4, 6, 10])).toBe(60n);
    expect(commonDivisor([-12n, 18n, 0n])).toBe(6n);
  });
});
