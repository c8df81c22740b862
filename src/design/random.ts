import { hmac } from "@noble/hashes/hmac.js";
import { sha256 } from "@noble/hashes/sha2.js";
import { concatBytes, utf8ToBytes } from "@noble/hashes/utils.js";

/** Where chance comes from: an endless supply of uniform random bytes. */
export interface RandomSource {
  bytes(count: number): Uint8Array;
}

/** What an HMAC_DRBG is instantiated with; a live session's entropy is its 256-bit seed. */
export interface DrbgInput {
  entropy: Uint8Array;
  nonce?: Uint8Array;
  personalization?: Uint8Array;
}

const WORD_RANGE = 2 ** 32;
/** Bytes per request to the generator behind a stream; part of the stream's definition. */
const REQUEST_BYTES = 256;

/**
 * One named stream of a session's chance: the HMAC_DRBG instantiated with HMAC-SHA256(seed, name).
 * Streams of different names tell nothing of one another, so that what a taster sees (codes)
 * cannot lead to what nobody may see (treatments). Same seed and name, same bytes.
 *
 * @param seed 32 bytes; as secret as the key.
 */
export function stream(seed: Uint8Array, name: string): RandomSource {
  if (seed.length !== 32) throw new RangeError("stream: the seed must have 32 bytes");
  const drbg = hmacDrbg({ entropy: hmac(sha256, seed, utf8ToBytes(name)) });
  let buffer = new Uint8Array(0);
  let used = 0;
  return {
    bytes(count) {
      while (buffer.length - used < count) {
        buffer = concatBytes(buffer.subarray(used), drbg.bytes(REQUEST_BYTES));
        used = 0;
      }
      used += count;
      return buffer.slice(used - count, used);
    },
  };
}

/** The 32-byte seed that stands for a text, for planning and teaching only: SHA-256 of its UTF-8. */
export function seedFromText(text: string): Uint8Array {
  return sha256(utf8ToBytes(text));
}

/**
 * HMAC_DRBG with SHA-256, without prediction resistance or reseeding. Every call of `bytes` is one
 * Generate request.
 *
 * Source: NIST SP 800-90A Rev. 1, section 10.1.2.
 */
export function hmacDrbg(input: DrbgInput): RandomSource {
  const empty = new Uint8Array(0);
  const state = { key: new Uint8Array(32), value: new Uint8Array(32).fill(1) };
  const { entropy, nonce = empty, personalization = empty } = input;
  update(state, concatBytes(entropy, nonce, personalization));
  return { bytes: (count) => generate(state, count) };
}

/** A whole number from 0 to bound − 1, every one equally likely: words that would tilt the remainder are thrown away. */
export function below(source: RandomSource, bound: number): number {
  if (!Number.isInteger(bound) || bound < 1 || bound > WORD_RANGE) {
    throw new RangeError(`below: ${bound} is not a whole number from 1 to 2^32`);
  }
  const threshold = (WORD_RANGE - bound) % bound;
  for (;;) {
    const candidate = word(source);
    if (candidate >= threshold) return candidate % bound;
  }
}

/** A copy of the list in random order, every order equally likely (Fisher–Yates, from the end). */
export function shuffle<Item>(source: RandomSource, list: readonly Item[]): Item[] {
  return sample(source, list, list.length);
}

/** Some items of the list in random order, every choice and order equally likely. */
export function sample<Item>(source: RandomSource, list: readonly Item[], count: number): Item[] {
  const shuffled = [...list];
  const untouched = shuffled.length - count;
  for (let length = shuffled.length; length > Math.max(1, untouched); length -= 1) {
    swap(shuffled, below(source, length), length - 1);
  }
  return shuffled.slice(untouched);
}

/** One item of a non-empty list, every one equally likely. */
export function choose<Item>(source: RandomSource, list: readonly Item[]): Item {
  return pick(list, below(source, list.length));
}

/** The item at an index that is known to exist; a gap there is a bug. */
export function pick<Item>(list: readonly Item[], index: number): Item {
  const item = list[index];
  if (item === undefined) throw new RangeError(`pick: nothing at ${index} of ${list.length}`);
  return item;
}

interface DrbgState {
  key: Uint8Array;
  value: Uint8Array;
}

function update(state: DrbgState, data: Uint8Array): void {
  const rounds = data.length === 0 ? [0] : [0, 1];
  for (const round of rounds) {
    const message = concatBytes(state.value, Uint8Array.of(round), data);
    state.key = hmac(sha256, state.key, message);
    state.value = hmac(sha256, state.key, state.value);
  }
}

function generate(state: DrbgState, count: number): Uint8Array {
  const output = new Uint8Array(Math.ceil(count / 32) * 32);
  for (let at = 0; at < count; at += 32) {
    state.value = hmac(sha256, state.key, state.value);
    output.set(state.value, at);
  }
  update(state, new Uint8Array(0));
  return output.slice(0, count);
}

function word(source: RandomSource): number {
  const [a = 0, b = 0, c = 0, d = 0] = source.bytes(4);
  return ((a << 24) | (b << 16) | (c << 8) | d) >>> 0;
}

function swap<Item>(list: Item[], one: number, other: number): void {
  const held = pick(list, one);
  list[one] = pick(list, other);
  list[other] = held;
}
