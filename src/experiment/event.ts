import { sha256 } from "@noble/hashes/sha2.js";
import { bytesToHex, utf8ToBytes } from "@noble/hashes/utils.js";
import { z } from "zod";
import { canonicalJson, isCanonicalisable } from "../design/seal.ts";

const hash = z.string().regex(/^[0-9a-f]{64}$/);

const jsonObject = z.record(z.string(), z.json());

/** Checked, yet passed on as it is: a parsed copy could lose what the hash was taken of. */
const body = z.custom<z.output<typeof jsonObject>>((value) => jsonObject.safeParse(value).success);

/** One act in a session's append-only log; it names people by random ids only, so that names can be erased. */
export const sessionEventSchema = z.strictObject({
  /** From 1 without gaps. */
  sequence: z.int().positive(),
  /** When, as an ISO 8601 instant in UTC. */
  at: z.iso.datetime(),
  /** Random id of who acted. */
  actor: z.string().min(1),
  /** What was done. */
  kind: z.string().min(1),
  body,
  previousHash: hash,
  hash,
});

export type SessionEvent = z.output<typeof sessionEventSchema>;

/** An act before it is chained. */
export type SessionAct = Pick<SessionEvent, "at" | "actor" | "kind" | "body">;

/** The last link that a log is expected to end with; without it, cut-off events at the end go unnoticed. */
export interface ChainHead {
  sequence: number;
  hash: string;
}

export type ChainVerdict =
  | { ok: true; head: ChainHead }
  | { ok: false; sequence: number; refusal: ChainRefusal };

type ChainRefusal =
  | "malformed-event"
  | "sequence-broken"
  | "previous-hash-differs"
  | "hash-differs"
  | "head-differs";

/** What the first event follows. */
export const CHAIN_START: ChainHead = { sequence: 0, hash: "0".repeat(64) };

/** The event that an act becomes after the chain's present head. */
export function appendEvent(head: ChainHead, act: SessionAct): SessionEvent {
  const { at, actor, kind, body } = act;
  const link = { sequence: head.sequence + 1, at, actor, kind, body };
  return { ...link, previousHash: head.hash, hash: chainHash(head.hash, link) };
}

/** SHA-256, in hexadecimal, of the canonical JSON of an event with the hash before it and without its own. */
export function chainHash(
  previousHash: string,
  link: Omit<SessionEvent, "previousHash" | "hash">,
): string {
  const { sequence, at, actor, kind, body } = link;
  const json = canonicalJson({ sequence, at, actor, kind, body, previousHash });
  return bytesToHex(sha256(utf8ToBytes(json)));
}

/**
 * Recomputes every link of a whole log, in order. Any event changed, removed, added or moved since it
 * was written is found at its place; events missing from the end show only against an expected head.
 */
export function verifyChain(events: readonly unknown[], expected?: ChainHead): ChainVerdict {
  let head = CHAIN_START;
  for (const candidate of events) {
    const parsed = sessionEventSchema.safeParse(candidate);
    if (!parsed.success || !isCanonicalisable(candidate))
      return broken(head.sequence + 1, "malformed-event");
    const refusal = linkRefusal(head, parsed.data);
    if (refusal !== undefined) return broken(head.sequence + 1, refusal);
    head = { sequence: parsed.data.sequence, hash: parsed.data.hash };
  }
  const moved = expected && (expected.sequence !== head.sequence || expected.hash !== head.hash);
  return moved ? broken(head.sequence, "head-differs") : { ok: true, head };
}

function linkRefusal(head: ChainHead, event: SessionEvent): ChainRefusal | undefined {
  if (event.sequence !== head.sequence + 1) return "sequence-broken";
  if (event.previousHash !== head.hash) return "previous-hash-differs";
  return chainHash(head.hash, event) === event.hash ? undefined : "hash-differs";
}

function broken(sequence: number, refusal: ChainRefusal): ChainVerdict {
  return { ok: false, sequence, refusal };
}
