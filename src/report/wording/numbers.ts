/** Numbers as a manager reads them. English; the only place that rounds for reading. */

const SPACE = "\u00a0";

/**
 * How often luck alone does it: "about 1 time in 70". Whole tenths above a quarter, two significant
 * digits of the reciprocal below.
 */
export function timesByLuck(pValue: number): string {
  if (pValue > 0.95) return "almost always";
  if (pValue > 0.25) return `about ${Math.round(pValue * 10)} times in 10`;
  if (pValue < 1 / 10_000) return "less than 1 time in 10,000";
  return `about 1 time in ${grouped(twoDigits(1 / pValue))}`;
}

/** A share as whole percent, kept within 0 and 100 for showing. */
export function percent(share: number): string {
  return `${Math.round(100 * Math.min(1, Math.max(0, share)))}${SPACE}%`;
}

/** An upper limit, rounded up so that it never promises more; a decimal where it must stay below `margin`. */
export function percentAtMost(limit: number, margin: number): string {
  const share = 100 * Math.min(1, Math.max(0, limit));
  const whole = Math.ceil(round(share, 9));
  const shown = limit < margin && whole >= 100 * margin ? Math.ceil(share * 10) / 10 : whole;
  return `${shown}${SPACE}%`;
}

/** A difference with its sign: +8.3, −0.25. */
export function signed(value: number, decimals: number): string {
  const size = Math.abs(value).toFixed(decimals);
  if (Number(size) === 0) return size;
  return `${value < 0 ? "−" : "+"}${size}`;
}

/** A size without sign, as many decimals as asked and no trailing zeros. */
export function size(value: number, decimals: number): string {
  return String(round(Math.abs(value), decimals));
}

/** Thousands set apart: 1,200. */
export function grouped(value: number): string {
  return String(value).replace(/\B(?=(\d{3})+$)/g, ",");
}

/** "1 taster", "2 tasters". */
export function counted(count: number, one: string, many = `${one}s`): string {
  return `${grouped(count)} ${count === 1 ? one : many}`;
}

/** "Sallow", "Sallow and Marsh", "Sallow, Petrel and Marsh". */
export function listed(names: readonly string[]): string {
  if (names.length < 2) return names.join("");
  return `${names.slice(0, -1).join(", ")} and ${names.at(-1)}`;
}

/** "4 times in 5" for a power of 0.8. */
export function howOften(power: number): string {
  return `${Math.round(power * 5)} times in 5`;
}

function round(value: number, decimals: number): number {
  const scale = 10 ** decimals;
  return Math.round(value * scale) / scale;
}

function twoDigits(value: number): number {
  if (value < 100) return Math.round(value);
  const scale = 10 ** (Math.floor(Math.log10(value)) - 1);
  return Math.round(value / scale) * scale;
}
