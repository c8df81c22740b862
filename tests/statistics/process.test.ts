import fc from "fast-check";
import { describe, expect, it } from "vitest";
import { processContrast, processTest, type TriedPair } from "../../src/statistics/process.ts";
import { orderKeys, reordered } from "./samples.ts";

const pair = fc.integer({ min: 1, max: 14 }).chain((assessments) =>
  fc.record({
    favour: fc.integer({ min: 0, max: assessments }),
    assessments: fc.constant(assessments),
  }),
);
const pairs = fc.array(pair, { minLength: 1, maxLength: 9 });

describe("the process claim over brew pairs", () => {
  it("enumerates the ways the pairs could have leaned, in exact fractions", () => {
    fc.assert(
      fc.property(pairs, (list) => {
        expect(test(list).pValue).toBe(enumerated(list));
      }),
    );
  });

  it("is the same in any order and with the treatments exchanged", () => {
    fc.assert(
      fc.property(pairs, orderKeys, (list, keys) => {
        const { pValue, favouring } = test(list);
        expect(test(reordered(list, keys)).pValue).toBe(pValue);
        const exchanged = test(
          list.map(({ favour, assessments }) => ({ favour: assessments - favour, assessments })),
        );
        expect(exchanged.pValue).toBe(pValue);
        expect(exchanged.favouring).toEqual({
          a: favouring.b,
          b: favouring.a,
          even: favouring.even,
        });
      }),
    );
  });

  it("weighs pairs alike, however many tasted them", () => {
    const few = [3, 2, 3, 3].map((favour) => ({ favour, assessments: 4 }));
    const many = few.map(({ favour }, i) => ({
      favour: favour * (i + 1),
      assessments: 4 * (i + 1),
    }));
    expect(test(many).pValue).toBe(test(few).pValue);
  });

  it("can't be made with fewer than six pairs that lean, at 5 %", () => {
    const unanimous = (count: number) =>
      test(Array.from({ length: count }, () => ({ favour: 9, assessments: 10 })));
    expect(unanimous(5)).toMatchObject({ pValue: 1 / 16, claimable: false });
    expect(unanimous(6)).toMatchObject({
      pValue: 1 / 32,
      smallestPossiblePValue: 1 / 32,
      claimable: true,
    });
    const withEven = [...Array(5)].map(() => ({ favour: 9, assessments: 10 }));
    expect(test([...withEven, { favour: 5, assessments: 10 }])).toMatchObject({
      pairs: 6,
      favouring: { a: 5, b: 0, even: 1 },
      smallestPossiblePValue: 1 / 16,
      claimable: false,
    });
  });

  it("never falls below the smallest p that it names", () => {
    fc.assert(
      fc.property(pairs, (list) => {
        const { pValue, smallestPossiblePValue } = test(list);
        expect(pValue).toBeGreaterThanOrEqual(smallestPossiblePValue);
        expect(smallestPossiblePValue).toBeLessThanOrEqual(1);
      }),
    );
  });

  it("stands beside the claim about these cups, and the two can part", () => {
    const onePotFarOff = [14, 7, 7, 7, 6, 8].map((favour) => ({ favour, assessments: 14 }));
    const { pValue, cups } = test(onePotFarOff);
    expect(cups).toMatchObject({ assessments: 84, favour: 49 });
    expect(pValue).toBe(6 / 8);
    expect(cups.pValue).toBeLessThan(0.2);
  });

  it("refuses forty-one and more pairs whose fractions share no denominator", () => {
    const odd = primes(50, 101).map((assessments) => ({ favour: 3, assessments }));
    expect(processTest(odd)).toEqual({
      ok: false,
      refusal: expect.stringMatching(/out of reach.*fewer pairs at a time.*numbers of assessments/),
    });
    const fewer = test(odd.slice(0, 24));
    expect(fewer.pValue).toBe(2 / 2 ** 24);
  });
});

describe("the process contrast against control pairs", () => {
  const tried = fc.record({
    coffee: fc.constantFrom("Anvil", "Cinder"),
    correct: fc.integer({ min: 0, max: 6 }),
    assessments: fc.constantFrom(6, 8),
  });
  const some = fc.array(tried, { minLength: 1, maxLength: 5 });

  it("enumerates the labels within coffees, in exact fractions", () => {
    fc.assert(
      fc.property(some, some, (testPairs, controlPairs) => {
        const answer = contrast(testPairs, controlPairs);
        const { asExtreme, atLargest, arrangements } = enumeratedContrast(testPairs, controlPairs);
        expect(answer.pValue).toBe(asExtreme / arrangements);
        expect(answer.smallestPossiblePValue).toBe(atLargest / arrangements);
      }),
    );
  });

  it("can carry no claim when ties leave no arrangement extreme enough", () => {
    const alike = Array.from({ length: 4 }, () => tasted("Anvil", 3, 6));
    expect(contrast(alike, alike)).toMatchObject({
      pValue: 1,
      smallestPossiblePValue: 1,
      claimable: false,
    });
    // Two of eight stand out: the four test labels cover both in C(6, 2) of C(8, 4) ways.
    const two = [tasted("Anvil", 6, 6), tasted("Anvil", 6, 6), ...alike.slice(2)];
    expect(contrast(two, alike)).toMatchObject({
      pValue: 15 / 70,
      smallestPossiblePValue: 15 / 70,
      claimable: false,
    });
    // Four of eight stand out: one way alone has them all, as without any tie.
    const all = alike.map(() => tasted("Anvil", 6, 6));
    expect(contrast(all, alike)).toMatchObject({ smallestPossiblePValue: 1 / 70, claimable: true });
  });

  it("takes the mean of pairs, not of answers", () => {
    const { difference } = contrast(
      [tasted("Anvil", 8, 8), tasted("Anvil", 20, 80)],
      [tasted("Anvil", 1, 4)],
    );
    expect(difference).toBe(0.375);
  });

  it("learns nothing from a coffee that has test pairs alone", () => {
    const both = [tasted("Anvil", 5, 8), tasted("Anvil", 6, 8)];
    const control = [tasted("Anvil", 2, 8)];
    const lonely = tasted("Cinder", 8, 8);
    expect(contrast([...both, lonely], control).pValue).toBe(contrast(both, control).pValue);
  });

  it("refuses forty and forty pairs at once, not after a try", () => {
    const list = Array.from({ length: 80 }, (_, i) => tasted("Anvil", (i * 7) % 6, 8 + (i % 8)));
    const started = performance.now();
    expect(processContrast(list.slice(0, 40), list.slice(40)).ok).toBe(false);
    expect(performance.now() - started).toBeLessThan(2000);
  });

  it("refuses what has too many different sums", () => {
    const numbers = primes(60, 400);
    const list = numbers.map((assessments, i) => tasted("Anvil", (i * 7) % 50, assessments));
    expect(processContrast(list.slice(0, 30), list.slice(30))).toEqual({
      ok: false,
      refusal: expect.stringContaining("none is guessed"),
    });
  });
});

function test(list: { favour: number; assessments: number }[]) {
  const answer = processTest(list);
  if (!answer.ok) throw new Error(answer.refusal);
  return answer;
}

function contrast(testPairs: TriedPair[], controlPairs: TriedPair[]) {
  const answer = processContrast(testPairs, controlPairs);
  if (!answer.ok) throw new Error(answer.refusal);
  return answer;
}

function tasted(coffee: string, correct: number, assessments: number): TriedPair {
  return { coffee, correct, assessments };
}

/** Leans over a common denominator of all numbers up to 14: whole numbers, no rounding. */
function enumerated(list: { favour: number; assessments: number }[]): number {
  const leans = list.map(
    ({ favour, assessments }) => ((2 * favour - assessments) * 360_360) / assessments,
  );
  const seen = Math.abs(leans.reduce((sum, lean) => sum + lean, 0));
  let asExtreme = 0;
  for (let signs = 0; signs < 2 ** leans.length; signs++) {
    const sum = leans.reduce((total, lean, i) => total + (signs & (1 << i) ? lean : -lean), 0);
    if (Math.abs(sum) >= seen) asExtreme++;
  }
  return asExtreme / 2 ** leans.length;
}

function enumeratedContrast(testPairs: TriedPair[], controlPairs: TriedPair[]) {
  const all = [...testPairs, ...controlPairs];
  const wanted = (coffee: string) => testPairs.filter((one) => one.coffee === coffee).length;
  const share = ({ correct, assessments }: TriedPair) => (correct * 24) / assessments;
  const seen = testPairs.reduce((sum, one) => sum + share(one), 0);
  const sums: number[] = [];
  for (let labels = 0; labels < 2 ** all.length; labels++) {
    const chosen = all.filter((_, i) => labels & (1 << i));
    const fits = ["Anvil", "Cinder"].every(
      (coffee) => chosen.filter((one) => one.coffee === coffee).length === wanted(coffee),
    );
    if (!fits) continue;
    sums.push(chosen.reduce((sum, one) => sum + share(one), 0));
  }
  const largest = Math.max(...sums);
  return {
    arrangements: sums.length,
    asExtreme: sums.filter((sum) => sum >= seen).length,
    atLargest: sums.filter((sum) => sum === largest).length,
  };
}

function primes(count: number, from: number): number[] {
  const found: number[] = [];
  for (let n = from; found.length < count; n++) {
    if (
      !Array.from({ length: Math.floor(Math.sqrt(n)) - 1 }, (_, i) => i + 2).some(
        (d) => n % d === 0,
      )
    ) {
      found.push(n);
    }
  }
  return found;
}
