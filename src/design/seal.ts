import { sha256 } from "@noble/hashes/sha2.js";
import { bytesToHex, concatBytes, hexToBytes, utf8ToBytes } from "@noble/hashes/utils.js";
import serialize from "canonicalize";
import { z } from "zod";
import type { Kit } from "./kit-records.ts";
import { setKinds } from "./serving-orders.ts";

const treatment = z.enum(["A", "B"]);
const place = { coffeeId: z.string(), pair: z.int() };

/**
 * The key: all that is needed to know which code holds which treatment, and which answer a
 * presentation counts as right. Closed until unblinding.
 */
export const keySchema = z.strictObject({
  pots: z.array(z.strictObject({ ...place, potLetter: z.string(), treatment })),
  presentations: z.array(
    z.strictObject({
      seat: z.int(),
      ordinal: z.int(),
      setKind: z.enum(setKinds),
      ...place,
      replicate: z.int(),
      control: z.enum(["same-pot", "same-treatment"]).optional(),
      arms: z.string(),
      cups: z.array(z.strictObject({ code: z.string(), potLetter: z.string() })),
    }),
  ),
  spares: z.array(z.strictObject({ ...place, code: z.string(), potLetter: z.string() })),
});

export type Key = z.output<typeof keySchema>;

/** What unblinding publishes, beside the commitment that sealing published. */
export interface Unblinding {
  key: unknown;
  /** 64 hexadecimal digits. */
  nonce: string;
  commitment: string;
}

/** The key of a kit. */
export function keyOf(kit: Kit): Key {
  return {
    pots: kit.pots.map(({ coffeeId, pair, letter, treatment }) => ({
      coffeeId,
      pair,
      potLetter: letter,
      treatment,
    })),
    presentations: kit.seats.flatMap(({ seat, presentations }) =>
      presentations.map(
        ({ order: _, oddPosition: __, fellowPosition: ___, arms, cups, ...own }) => ({
          seat,
          ...own,
          arms: arms.join(""),
          cups: cups.map(({ code, potLetter }) => ({ code, potLetter })),
        }),
      ),
    ),
    spares: kit.spares,
  };
}

/** JSON in the one form of RFC 8785; throws on what JSON can't hold (undefined, NaN, broken Unicode). */
export function canonicalJson(value: unknown): string {
  const json = serialize(value);
  if (json === undefined) throw new TypeError("canonicalJson: not a JSON value");
  return json;
}

/** Whether a value from outside has a canonical form: JSON, no deeper than can be read, its text well-formed Unicode. */
export function isCanonicalisable(value: unknown): boolean {
  try {
    canonicalJson(value);
    return true;
  } catch {
    return false;
  }
}

/** SHA-256 of a plan's canonical JSON, in hexadecimal. */
export function planHash(plan: unknown): string {
  return bytesToHex(sha256(utf8ToBytes(canonicalJson(plan))));
}

/**
 * The commitment to a key, publishable before the first cup: SHA-256 of its canonical JSON followed
 * by a nonce of 32 bytes, in hexadecimal. Without the nonce nobody can find the key by trial; with
 * it anyone can see that the key has not changed.
 */
export function commit(key: unknown, nonce: Uint8Array): string {
  if (nonce.length !== 32) throw new RangeError("commit: the nonce must have 32 bytes");
  return bytesToHex(sha256(concatBytes(utf8ToBytes(canonicalJson(key)), nonce)));
}

/** Whether key and nonce are those that were committed to; false for anything malformed. */
export function verifyUnblinding({ key, nonce, commitment }: Unblinding): boolean {
  if (!/^[0-9a-f]{64}$/i.test(nonce) || !isCanonicalisable(key)) return false;
  return commit(key, hexToBytes(nonce)) === commitment.toLowerCase();
}
