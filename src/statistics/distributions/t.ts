import betaln from "@stdlib/math-base-special-betaln";
import { betaLogitQuantile, betaLowerTail, betaUpperTail } from "./beta.ts";

/** So far out the tail is its power law to the last digit, and t² would leave the doubles. */
const POWER_LAW_FROM = 1e120;

/** P(T ≤ t) of Student's t with df > 0 degrees of freedom. */
export function tLowerTail(t: number, df: number): number {
  return tUpperTail(-t, df);
}

/** P(T > t) of Student's t with df > 0 degrees of freedom, computed directly. */
export function tUpperTail(t: number, df: number): number {
  if (t < 0) return 1 - tUpperTail(-t, df);
  if (t > POWER_LAW_FROM) return powerLaw(t, df);
  const square = t * t;
  // Of x = df/(df + t²) and its complement, the smaller is the one that carries the digits.
  return square < df
    ? betaUpperTail(square / (df + square), 0.5, df / 2) / 2
    : betaLowerTail(df / (df + square), df / 2, 0.5) / 2;
}

function powerLaw(t: number, df: number): number {
  const a = df / 2;
  return Math.exp(a * Math.log(df) - df * Math.log(t) - Math.log(a) - betaln(a, 0.5)) / 2;
}

/** The t with P(T > t) = q. */
export function tUpperQuantile(q: number, df: number): number {
  if (q > 0.5) return -tUpperQuantile(1 - q, df);
  return Math.sqrt(df) * Math.exp(-betaLogitQuantile(2 * q, df / 2, 0.5) / 2);
}
