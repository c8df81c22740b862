import { numberFrom } from "../form.ts";
import type { Scalar } from "./controls.ts";

/** A typed word as the value it stands for; unreadable ones stay text. */
export function readScalar(scalar: Scalar, text: string): unknown {
  if (scalar.kind === "number") return numberIn(text) ?? text;
  if (scalar.kind === "yes-no") return text === "yes" ? true : text === "no" ? false : text;
  return text;
}

/** A number as people and programs write it: comma or point, also with a power of ten. */
export function numberIn(text: string): number | null {
  const [mantissa = "", exponent, ...more] = text.trim().split(/e/i);
  const value = numberFrom(mantissa);
  if (exponent === undefined || value === null) return value;
  return more.length === 0 && /^[+-]?\d+$/.test(exponent) ? Number(`${value}e${exponent}`) : null;
}
