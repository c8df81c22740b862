import type { Decision } from "../../src/report/analysis.ts";
import { decide } from "../../src/report/analysis.ts";
import type { Evidence } from "../../src/report/evidence.ts";

/** Panels per method: 2,000 in every run, 100,000 when EVENPOUR_LONG=1. */
export const PANELS = process.env.EVENPOUR_LONG === "1" ? 100_000 : 2000;

/** Uniform numbers in [0, 1). */
export type Chance = () => number;

/** xoshiro128** (Blackman & Vigna 2018), seeded by splitmix32: the same panels in every run. */
export function chanceFrom(seed: number): Chance {
  let mix = seed >>> 0;
  const word = () => {
    mix = (mix + 0x9e3779b9) >>> 0;
    let z = Math.imul(mix ^ (mix >>> 16), 0x21f0aaad);
    z = Math.imul(z ^ (z >>> 15), 0x735a2d97);
    return (z ^ (z >>> 15)) >>> 0;
  };
  let [a, b, c, d] = [word(), word(), word(), word()];
  const rotate = (x: number, k: number) => ((x << k) | (x >>> (32 - k))) >>> 0;
  return () => {
    const result = Math.imul(rotate(Math.imul(b, 5), 7), 9) >>> 0;
    const shifted = b << 9;
    c ^= a;
    d ^= b;
    b ^= c;
    a ^= d;
    c ^= shifted;
    d = rotate(d, 11);
    return result / 2 ** 32;
  };
}

/** A standard normal (Box & Muller 1958). */
export function normal(chance: Chance): number {
  return Math.sqrt(-2 * Math.log(1 - chance())) * Math.cos(2 * Math.PI * chance());
}

export const logistic = (x: number) => 1 / (1 + Math.exp(-x));

/** Share of simulated sessions whose verdict is as asked. */
export function rateOf(
  seed: number,
  session: (chance: Chance) => Evidence,
  holds: (decision: Decision) => boolean,
): number {
  const chance = chanceFrom(seed);
  let hits = 0;
  for (let panel = 0; panel < PANELS; panel += 1) if (holds(decide(session(chance)))) hits += 1;
  return hits / PANELS;
}

/** The most that a rate of alpha shows in this many panels, three standard errors up. */
export function allowance(alpha: number): number {
  return alpha + 3 * Math.sqrt((alpha * (1 - alpha)) / PANELS);
}

/** The primary endpoint's state. */
export function stateIn(decision: Decision) {
  return decision.endpoints.find(({ role }) => role === "primary")?.state;
}

export const saysDifference = (decision: Decision) =>
  stateIn(decision) === "difference" || stateIn(decision) === "trivial-difference";

export const saysWithin = (decision: Decision) =>
  stateIn(decision) === "equivalence" || stateIn(decision) === "trivial-difference";

export const headlineDiffers = ({ headline }: Decision) =>
  headline === "different" || headline === "different-for-some";

export const claimsProcess = ({ endpoints }: Decision) => endpoints[0]?.process.status === "shown";
