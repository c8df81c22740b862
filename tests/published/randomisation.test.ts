import { hmac } from "@noble/hashes/hmac.js";
import { sha256 } from "@noble/hashes/sha2.js";
import { bytesToHex, hexToBytes, utf8ToBytes } from "@noble/hashes/utils.js";
import { describe, expect, test } from "vitest";
import { williamsSquares } from "../../src/design/coffee-order.ts";
import { makeKit, type SetRequest } from "../../src/design/kit.ts";
import {
  below,
  hmacDrbg,
  type RandomSource,
  seedFromText,
  shuffle,
  stream,
} from "../../src/design/random.ts";
import { canonicalJson } from "../../src/design/seal.ts";
import { familyOf } from "../../src/design/serving-orders.ts";
import { chiSquareUpperQuantile } from "../../src/statistics/distributions.ts";
import cases from "./randomisation.json" with { type: "json" };

describe(`HMAC_DRBG [${cases.drbg.source}]`, () => {
  test("returns the published bits", () => {
    const { entropy, nonce, returned } = cases.drbg;
    const drbg = hmacDrbg({ entropy: hexToBytes(entropy), nonce: hexToBytes(nonce) });
    drbg.bytes(128);
    expect(bytesToHex(drbg.bytes(128))).toBe(returned);
  });
});

describe("the hashes beneath", () => {
  test.each(cases.sha256.cases)(`SHA-256 of "$message" [${cases.sha256.source}]`, (published) => {
    expect(bytesToHex(sha256(utf8ToBytes(published.message)))).toBe(published.digest);
  });

  test.each(cases.hmac.cases)(`HMAC-SHA256 of "$message" [${cases.hmac.source}]`, (published) => {
    const mac = hmac(sha256, hexToBytes(published.key), utf8ToBytes(published.message));
    expect(bytesToHex(mac)).toBe(published.mac);
  });
});

/** PCG32 (XSH-RR 64/32), whose demonstration prints bounded numbers and a shuffle; its words come out first byte first. */
function pcg32(state: bigint, sequence: bigint): RandomSource {
  const increment = BigInt.asUintN(64, (sequence << 1n) | 1n);
  const step = (from: bigint) => BigInt.asUintN(64, from * 6364136223846793005n + increment);
  let current = step(step(0n) + state);
  const word = (): number => {
    const shifted = Number(BigInt.asUintN(32, ((current >> 18n) ^ current) >> 27n));
    const turn = Number(current >> 59n);
    current = step(current);
    return ((shifted >>> turn) | (shifted << (-turn & 31))) >>> 0;
  };
  return {
    bytes(count) {
      const bytes = new DataView(new ArrayBuffer(count));
      for (let at = 0; at < count; at += 4) bytes.setUint32(at, word());
      return new Uint8Array(bytes.buffer);
    },
  };
}

describe(`Bounded numbers and shuffles [${cases.pcg32.source}]`, () => {
  test("give the published words, coins, dice and cards from the published generator", () => {
    const source = pcg32(42n, 54n);
    const words = cases.pcg32.words.map(() => `0x${bytesToHex(source.bytes(4))}`);
    expect(words).toEqual(cases.pcg32.words);
    const coins = [...cases.pcg32.coins].map(() => (below(source, 2) === 1 ? "H" : "T"));
    expect(coins.join("")).toBe(cases.pcg32.coins);
    expect(cases.pcg32.rolls.map(() => below(source, 6) + 1)).toEqual(cases.pcg32.rolls);
    const deck = Array.from({ length: 52 }, (_, card) => {
      return `${"A23456789TJQK"[Math.floor(card / 4)]}${"hcds"[card % 4]}`;
    });
    expect(shuffle(source, deck)).toEqual(cases.pcg32.cards);
  });

  // Chi-square quantiles: any table. The naive shuffle fails this: it has 4, 5 and 5 of 27 paths
  // to orders that should have 4.5 each (Knuth, TAOCP 3.4.2; Fisher & Yates 1938).
  test.each([
    [3, 20.515005652432873],
    [4, 49.7282324664315],
    [5, 172.41768160217916],
  ])(
    "give all orders of %d items equally often: chi-square under its upper 0.1 percent point of %d",
    (size, quantile) => {
      const items = Array.from({ length: size }, (_, at) => at);
      const orders = items.reduce((product, at) => product * (at + 1), 1);
      const source = stream(seedFromText("uniform orders"), `orders of ${size}`);
      const counts = new Map<string, number>();
      for (let drawn = 0; drawn < 1_000 * orders; drawn += 1) {
        const order = shuffle(source, items).join("");
        counts.set(order, (counts.get(order) ?? 0) + 1);
      }
      const terms = [...counts.values()].map((count) => (count - 1_000) ** 2 / 1_000);
      expect(counts.size).toBe(orders);
      expect(Math.abs(chiSquareUpperQuantile(0.001, orders - 1) - quantile)).toBeLessThan(1e-8);
      expect(terms.reduce((sum, term) => sum + term, 0)).toBeLessThan(quantile);
    },
  );
});

describe("Canonical JSON", () => {
  test.each(cases.canonicalJson.cases)(`$text [${cases.canonicalJson.source}]`, (published) => {
    expect(canonicalJson(JSON.parse(published.text))).toBe(published.canonical);
  });

  test.each(cases.canonicalNumbers.cases)(
    `the double %s is written %s [${cases.canonicalNumbers.source}]`,
    (bits = "", written = "") => {
      const view = new DataView(new ArrayBuffer(8));
      view.setBigUint64(0, BigInt(`0x${bits}`));
      expect(canonicalJson(view.getFloat64(0))).toBe(written);
    },
  );
});

describe(`Williams designs [${cases.williams.source}]`, () => {
  test.each(cases.williams.properties)(
    "of $treatments treatments have $sequences rows, even in places and successions",
    ({ treatments, sequences, eachPosition, eachFollowsEachOther }) => {
      const rows = williamsSquares(treatments).flat();
      expect(rows).toHaveLength(sequences);
      const places = rows.flatMap((row) => row.map((item, at) => `${item} at ${at}`));
      const follows = rows.flatMap((row) => row.slice(1).map((item, at) => `${row[at]} ${item}`));
      expect(evenCounts(places)).toEqual({ kinds: treatments ** 2, each: eachPosition });
      expect(evenCounts(follows)).toEqual({
        kinds: treatments * (treatments - 1),
        each: eachFollowsEachOther,
      });
    },
  );

  test("of four and five are the printed ones", () => {
    expect(williamsSquares(4).flat()).toEqual(cases.williams.four);
    expect(williamsSquares(5).flat()).toEqual(cases.williams.five);
  });
});

/** How many different items there are, and how often each occurs when all occur equally often. */
function evenCounts(items: readonly string[]): { kinds: number; each: number } {
  const counts = new Map<string, number>();
  for (const item of items) counts.set(item, (counts.get(item) ?? 0) + 1);
  const [each = 0] = counts.values();
  return {
    kinds: counts.size,
    each: [...counts.values()].every((n) => n === each) ? each : Number.NaN,
  };
}

describe(`Serving orders [${cases.servingOrders.source}]`, () => {
  const sets: SetRequest[] = [
    { kind: "triangle" },
    { kind: "duo-trio", reference: "balanced" },
    { kind: "tetrad" },
    { kind: "three-afc", oddTreatment: "B" },
    { kind: "ab" },
  ];

  test.each(sets)("of a $kind make a complete set, each different", (set) => {
    const orders = familyOf(set).orders.map((arms) => arms.join(""));
    expect(new Set(orders).size).toBe(orders.length);
    expect(orders).toHaveLength(cases.servingOrders.counts[set.kind]);
  });

  test("of triangles are the six triads, each served to one of six tasters", () => {
    const result = makeKit(
      {
        sets: [{ kind: "triangle" }],
        coffees: ["sallow"],
        pairsPerCoffee: 1,
        replicates: 1,
        controls: { samePot: 0, sameTreatmentPairsPerCoffee: 0 },
        seats: 6,
        brewers: ["north", "south"],
        coffeeOrder: "balanced",
        sparesPerPot: 1,
      },
      (name) => stream(seedFromText("six triads"), name),
    );
    const orders = result.ok ? result.kit.seats.map((seat) => seat.presentations[0]?.order) : [];
    expect(orders.toSorted()).toEqual(cases.servingOrders.triangle.toSorted());
  });
});
