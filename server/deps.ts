import { createHash } from "node:crypto";
import type { Live } from "./live.ts";
import type { Render } from "./render.ts";
import type { Store } from "./store/database.ts";

/** What the doors need from outside: the store, the clock and chance come in here and nowhere else. */
export interface Deps {
  store: Store;
  render: Render;
  live: Live;
  /** The present moment. */
  clock: () => Date;
  /** Secure random bytes from the operating system. */
  randomBytes: (count: number) => Uint8Array;
  /** Address that other devices reach this server by, without a closing slash. */
  publicUrl: () => string;
  /** Days after unblinding until names and comments are erased; 0 keeps them. */
  retentionDays: number;
  /** What reports and posters call the house; empty when it stays unnamed. */
  roastery: string;
}

/** The present moment as it is stored: ISO 8601 in UTC with milliseconds. */
export const now = (deps: Pick<Deps, "clock">) => deps.clock().toISOString();

/** Cookies go over https only where people reach this server by it; a room on plain http needs them too. */
export const overHttps = (deps: Pick<Deps, "publicUrl">) => deps.publicUrl().startsWith("https:");

/** A random identifier or token of 192 bits that is safe in a URL. */
export function newToken(deps: Pick<Deps, "randomBytes">): string {
  return Buffer.from(deps.randomBytes(24)).toString("base64url");
}

/** What the store keeps of a token: who reads the data file cannot use it. */
export function hashToken(token: string): string {
  return createHash("sha256").update(token).digest("base64url");
}
