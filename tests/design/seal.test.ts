import { createHash } from "node:crypto";
import fc from "fast-check";
import { describe, expect, test } from "vitest";
import {
  canonicalJson,
  commit,
  isCanonicalisable,
  keyOf,
  keySchema,
  planHash,
  verifyUnblinding,
} from "../../src/design/seal.ts";
import { kitFor, plainInput, streamsOf } from "./kits.ts";

const controls = { samePot: 1, sameTreatmentPairsPerCoffee: 1 };
const kit = kitFor({ ...plainInput, controls }, "sealed");
const key = keyOf(kit);
const nonceBytes = streamsOf("sealed")("nonce").bytes(32);
const nonce = Buffer.from(nonceBytes).toString("hex");
const commitment = commit(key, nonceBytes);

describe("a plan's hash", () => {
  test("does not depend on the order in which its fields were written", () => {
    fc.assert(
      fc.property(fc.dictionary(fc.string({ unit: "grapheme" }), fc.integer()), (plan) => {
        const reversed = Object.fromEntries(Object.entries(plan).toReversed());
        expect(planHash(reversed)).toBe(planHash(plan));
      }),
      { numRuns: 100 },
    );
  });

  test("changes with any value", () => {
    expect(planHash({ margin: 0.3 })).not.toBe(planHash({ margin: 0.31 }));
  });

  test("is the SHA-256 that any other program finds for the canonical text", () => {
    const plan = { question: "Brighter?", margin: 0.3, coffees: ["Sallow", "Čmelák"] };
    const text = '{"coffees":["Sallow","Čmelák"],"margin":0.3,"question":"Brighter?"}';
    expect(canonicalJson(plan)).toBe(text);
    expect(planHash(plan)).toBe(createHash("sha256").update(text, "utf8").digest("hex"));
  });

  test("is refused to what has no JSON", () => {
    expect(() => planHash(undefined)).toThrow(TypeError);
    for (const value of [undefined, Number.NaN, "\ud800"]) {
      expect(isCanonicalisable(value)).toBe(false);
    }
    expect(isCanonicalisable({ fine: [1, null, "é"] })).toBe(true);
  });
});

describe("the key", () => {
  test("says for every code at every seat which treatment it holds", () => {
    const pots = new Map(
      key.pots.map((p) => [`${p.coffeeId} ${p.pair} ${p.potLetter}`, p.treatment]),
    );
    const cups = key.presentations.flatMap((own) =>
      own.cups.map(({ code, potLetter }) => {
        return `${own.seat} ${code} ${pots.get(`${own.coffeeId} ${own.pair} ${potLetter}`)}`;
      }),
    );
    const served = kit.seats.flatMap(({ seat, presentations }) =>
      presentations.flatMap((own) => own.cups.map((cup) => `${seat} ${cup.code} ${cup.treatment}`)),
    );
    expect(cups).toEqual(served);
    expect(key.spares).toEqual(kit.spares);
  });

  test("comes back whole from a published file", () => {
    expect(keySchema.parse(JSON.parse(JSON.stringify(key)))).toEqual(key);
  });
});

describe("unblinding", () => {
  test("is verified from the published files alone", () => {
    const published = JSON.parse(JSON.stringify({ key, nonce, commitment }));
    expect(verifyUnblinding(published)).toBe(true);
    expect(verifyUnblinding({ ...published, nonce: nonce.toUpperCase() })).toBe(true);
  });

  test("can be verified by hand: SHA-256 of the canonical key followed by the nonce", () => {
    const hash = createHash("sha256").update(canonicalJson(key), "utf8").update(nonceBytes);
    expect(commitment).toBe(hash.digest("hex"));
  });

  test("fails when any pot's treatment was changed afterwards", () => {
    for (const at of key.pots.keys()) {
      const pots = key.pots.map((pot, place) =>
        place === at ? { ...pot, treatment: pot.treatment === "A" ? "B" : "A" } : pot,
      );
      expect(verifyUnblinding({ key: { ...key, pots }, nonce, commitment })).toBe(false);
    }
  });

  test("fails for another nonce, a nonce of another length and a key that is no JSON", () => {
    expect(verifyUnblinding({ key, nonce: `00${nonce.slice(2)}`, commitment })).toBe(
      nonce.startsWith("00"),
    );
    expect(verifyUnblinding({ key, nonce: nonce.slice(2), commitment })).toBe(false);
    expect(verifyUnblinding({ key, nonce: "not hexadecimal", commitment })).toBe(false);
    expect(verifyUnblinding({ key: undefined, nonce, commitment })).toBe(false);
  });

  test("needs a nonce of 32 bytes", () => {
    expect(() => commit(key, new Uint8Array(16))).toThrow(RangeError);
  });
});
