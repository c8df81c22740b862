import { createHash } from "node:crypto";
import fc from "fast-check";
import { describe, expect, test } from "vitest";
import {
  below,
  choose,
  type RandomSource,
  sample,
  seedFromText,
  shuffle,
  stream,
} from "../../src/design/random.ts";

const seed = seedFromText("a seed");

/** A source that gives the words listed, most significant byte first. */
function wordsOf(...words: number[]): RandomSource {
  const bytes = words.flatMap((w) => [w >>> 24, (w >>> 16) & 255, (w >>> 8) & 255, w & 255]);
  return { bytes: (count) => Uint8Array.from(bytes.splice(0, count)) };
}

describe("a stream", () => {
  test("gives the same bytes for the same seed and name, however they are asked for", () => {
    fc.assert(
      fc.property(fc.string(), fc.array(fc.nat({ max: 600 }), { maxLength: 8 }), (name, sizes) => {
        const [whole, pieces] = [stream(seed, name), stream(seed, name)];
        const total = sizes.reduce((sum, size) => sum + size, 0);
        const joined = sizes.flatMap((size) => [...pieces.bytes(size)]);
        expect(joined).toEqual([...whole.bytes(total)]);
      }),
      { numRuns: 50 },
    );
  });

  test("differs by name and by seed", () => {
    const first = [...stream(seed, "codes").bytes(32)];
    expect([...stream(seed, "orders").bytes(32)]).not.toEqual(first);
    expect([...stream(seedFromText("another"), "codes").bytes(32)]).not.toEqual(first);
  });

  test("starts from a text's SHA-256 where a text stands for the seed", () => {
    const hash = createHash("sha256").update("spring", "utf8").digest();
    expect([...seedFromText("spring")]).toEqual([...hash]);
  });

  test("needs a seed of 32 bytes", () => {
    expect(() => stream(new Uint8Array(16), "codes")).toThrow(RangeError);
  });
});

describe("a whole number below a bound", () => {
  test("throws away the words that would make small numbers likelier", () => {
    // 2^32 modulo 3 is 1, so word 0 would give remainder 0 once too often.
    expect(below(wordsOf(0, 5), 3)).toBe(2);
    expect(below(wordsOf(1), 3)).toBe(1);
    expect(below(wordsOf(0xffffffff), 2 ** 32)).toBe(0xffffffff);
  });

  test.each([0, -1, 1.5, Number.NaN, 2 ** 33])("is refused for the bound %d", (bound) => {
    expect(() => below(wordsOf(1), bound)).toThrow(RangeError);
  });
});

describe("a shuffle", () => {
  test("keeps every item, and leaves the list as it was", () => {
    fc.assert(
      fc.property(fc.array(fc.nat()), fc.string(), (list, name) => {
        const copy = [...list];
        const shuffled = shuffle(stream(seed, name), list);
        expect(shuffled.toSorted((a, b) => a - b)).toEqual(copy.toSorted((a, b) => a - b));
        expect(list).toEqual(copy);
      }),
      { numRuns: 50 },
    );
  });

  test("and a sample hold the same items when the sample is the whole list", () => {
    const list = [..."abcdefgh"];
    expect(sample(stream(seed, "s"), list, 8)).toEqual(shuffle(stream(seed, "s"), list));
    expect(new Set(sample(stream(seed, "s"), list, 3)).size).toBe(3);
    expect(sample(stream(seed, "s"), list, 0)).toEqual([]);
  });

  test("and a choice need something to choose from", () => {
    expect(shuffle(stream(seed, "s"), [])).toEqual([]);
    expect(() => choose(stream(seed, "s"), [])).toThrow(RangeError);
  });
});
