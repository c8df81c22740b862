import { normalLowerTail, tUpperQuantile } from "../../statistics/distributions.ts";

/** A comparison of means by two one-sided tests, as planned. */
export interface EquivalencePlan {
  margin: number;
  /** Standard deviation of the differences. */
  sd: number;
  pairs: number;
  alpha: number;
  /** The true mean difference; 0 when left out. */
  difference?: number;
}

/**
 * Exact chance that two one-sided paired t tests both reject (Owen 1965; Phillips 1990, J.
 * Pharmacokinet. Biopharm. 18, 137). Given the standard deviation seen, the mean must fall into a
 * normal window; that is averaged over the standard deviation's chi distribution by Simpson's rule,
 * up to where the window closes.
 */
export function equivalencePower(plan: EquivalencePlan): number {
  const { margin, sd, pairs, alpha, difference = 0 } = plan;
  if (pairs < 2) return 0;
  const df = pairs - 1;
  const critical = tUpperQuantile(alpha, df);
  const scale = Math.sqrt(pairs) / sd;
  const closes = (margin * scale) / critical;
  const window = (ratio: number) => {
    const upper = (margin - difference) * scale - critical * ratio;
    const lower = (-margin - difference) * scale + critical * ratio;
    return Math.max(0, normalLowerTail(upper) - normalLowerTail(lower));
  };
  const density = chiDensity(df);
  const top = 1 + CHI_REACH / Math.sqrt(df);
  const all = simpson(density, 0, top);
  return simpson((ratio) => window(ratio) * density(ratio), 0, Math.min(closes, top)) / all;
}

/** Fewest pairs that pass with the power when the truth is no difference; null beyond `most`. */
export function equivalenceSize(
  plan: Omit<EquivalencePlan, "pairs">,
  power: number,
  most = 10_000,
): number | null {
  let tooFew = 1;
  let enough = 2;
  while (equivalencePower({ ...plan, pairs: enough }) < power) {
    if (enough >= most) return null;
    tooFew = enough;
    enough = Math.min(2 * enough, most);
  }
  while (enough - tooFew > 1) {
    const middle = Math.floor((tooFew + enough) / 2);
    if (equivalencePower({ ...plan, pairs: middle }) >= power) enough = middle;
    else tooFew = middle;
  }
  return enough;
}

/** How far above 1 the ratio of seen to true standard deviation is followed, in units of 1/√df. */
const CHI_REACH = 8;

/** Density of that ratio up to a factor, 1 at its peak so that nothing overflows. */
function chiDensity(df: number): (ratio: number) => number {
  if (df === 1) return (ratio) => Math.exp((-ratio * ratio) / 2);
  const logAt = (ratio: number) => (df - 1) * Math.log(ratio) - (df * ratio * ratio) / 2;
  const peak = logAt(Math.sqrt((df - 1) / df));
  return (ratio) => (ratio <= 0 ? 0 : Math.exp(logAt(ratio) - peak));
}

const PANELS = 400;

function simpson(of: (x: number) => number, from: number, to: number): number {
  const step = (to - from) / PANELS;
  let total = of(from) + of(to);
  for (let i = 1; i < PANELS; i += 1) total += (i % 2 === 1 ? 4 : 2) * of(from + i * step);
  return (total * step) / 3;
}
