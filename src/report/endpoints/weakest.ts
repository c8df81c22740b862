import type { MeasuredMargin } from "../measured.ts";

/**
 * The claim over coffees is no stronger than on its weakest coffee (intersection–union): pooling
 * would hide one bad coffee. A coffee without data leaves no claim at all.
 */
export function weakest(margins: readonly MeasuredMargin[]): MeasuredMargin {
  const [first] = margins;
  if (!first) throw new Error("A plan has at least one coffee");
  return {
    method: first.method,
    approximate: margins.some(({ approximate }) => approximate),
    margin: first.margin,
    pValue: extreme(
      margins.map(({ pValue }) => pValue),
      Math.max,
    ),
    lowerLimit: extreme(
      margins.map(({ lowerLimit }) => lowerLimit),
      Math.min,
    ),
    upperLimit: extreme(
      margins.map(({ upperLimit }) => upperLimit),
      Math.max,
    ),
  };
}

function extreme(
  values: readonly (number | null)[],
  choose: (...known: number[]) => number,
): number | null {
  const known = values.filter((value) => value !== null);
  return known.length === values.length ? choose(...known) : null;
}
