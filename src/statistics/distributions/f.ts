import { betaLogitQuantile, betaLowerTail, betaUpperTail } from "./beta.ts";

/** P(F ≤ f) with df1 and df2 degrees of freedom. */
export function fLowerTail(f: number, df1: number, df2: number): number {
  if (Number.isNaN(f)) return Number.NaN;
  if (f <= 0) return 0;
  const explained = df1 * f;
  return explained < df2
    ? betaLowerTail(explained / (explained + df2), df1 / 2, df2 / 2)
    : betaUpperTail(df2 / (explained + df2), df2 / 2, df1 / 2);
}

/** P(F > f) with df1 and df2 degrees of freedom, computed directly. */
export function fUpperTail(f: number, df1: number, df2: number): number {
  return fLowerTail(1 / Math.max(0, f), df2, df1);
}

/** The f with P(F > f) = q. */
export function fUpperQuantile(q: number, df1: number, df2: number): number {
  return (df2 / df1) * Math.exp(-betaLogitQuantile(q, df2 / 2, df1 / 2));
}
