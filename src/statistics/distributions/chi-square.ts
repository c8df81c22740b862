import { rootOfIncreasing } from "./inversion.ts";
import { normalLowerQuantile } from "./normal.ts";
import { devianceFrom, stirlingCorrection } from "./stirling.ts";

const TERM_LIMIT = 1_000_000;
const RELATIVE_TOLERANCE = 1e-17;
const LOG_LIMIT = 708;
const POWER_LAW_FROM = -60;

/** P(X ≤ x) of chi-square with df ≥ 1 degrees of freedom. */
export function chiSquareLowerTail(x: number, df: number): number {
  if (Number.isNaN(x)) return Number.NaN;
  if (x <= 0) return 0;
  if (x === Number.POSITIVE_INFINITY) return 1;
  const [a, half] = [df / 2, x / 2];
  return half < a + 1 ? gammaSeries(half, a) : 1 - gammaFraction(half, a);
}

/** P(X > x) of chi-square with df ≥ 1 degrees of freedom, computed directly. */
export function chiSquareUpperTail(x: number, df: number): number {
  if (Number.isNaN(x)) return Number.NaN;
  if (x <= 0) return 1;
  if (x === Number.POSITIVE_INFINITY) return 0;
  const [a, half] = [df / 2, x / 2];
  return half < a + 1 ? 1 - gammaSeries(half, a) : gammaFraction(half, a);
}

/** The x with P(X ≤ x) = p. */
export function chiSquareLowerQuantile(p: number, df: number): number {
  return p > 0.5
    ? quantile(1 - p, df, chiSquareUpperTail, -1)
    : quantile(p, df, chiSquareLowerTail, 1);
}

/** The x with P(X > x) = q. */
export function chiSquareUpperQuantile(q: number, df: number): number {
  return q > 0.5
    ? quantile(1 - q, df, chiSquareLowerTail, 1)
    : quantile(q, df, chiSquareUpperTail, -1);
}

type Tail = (x: number, df: number) => number;

/** Solves in ln x; `direction` is 1 for the lower tail, −1 for the upper, whose logarithm falls. */
function quantile(p: number, df: number, tail: Tail, direction: 1 | -1): number {
  if (!(p >= 0 && p <= 1)) return Number.NaN;
  if (p === 0) return direction === 1 ? 0 : Number.POSITIVE_INFINITY;
  const target = Math.log(p);
  // Far down, the lower tail is its power law xᵃ/Γ(a + 1) to the last digit.
  const powerLaw = direction === 1 ? logPowerLaw(target, df / 2) : Number.NEGATIVE_INFINITY;
  if (direction === 1 && powerLaw < POWER_LAW_FROM) return 2 * Math.exp(powerLaw);
  // Wilson & Hilferty (1931): the cube root of chi-square/df is nearly normal.
  const z = direction * normalLowerQuantile(p);
  const root = Math.max(1e-3, 1 - 2 / (9 * df) + z * Math.sqrt(2 / (9 * df)));
  const start = Math.max(powerLaw + Math.LN2, Math.log(df) + 3 * Math.log(root));
  const log = rootOfIncreasing(
    (y) => {
      const x = Math.exp(y);
      const probability = tail(x, df);
      const density = powerOverGamma(x / 2, df / 2) * (df / 2);
      return {
        value: direction * (Math.log(probability) - target),
        derivative: density / probability,
      };
    },
    { lower: -LOG_LIMIT, upper: LOG_LIMIT, start },
  );
  return Math.exp(log);
}

/** ln x at which xᵃ/Γ(a + 1) reaches a probability given by its logarithm. */
function logPowerLaw(target: number, a: number): number {
  return (target + stirlingCorrection(a) + 0.5 * Math.log(2 * Math.PI * a)) / a + Math.log(a) - 1;
}

/**
 * Regularised lower incomplete gamma by its power series (Abramowitz & Stegun 6.5.29), for x < a + 1. Own code
 * because the library's expansion for large a is off by percents (a test shows it).
 */
function gammaSeries(x: number, a: number): number {
  let term = 1;
  let sum = 1;
  for (let k = 1; k < TERM_LIMIT && term > RELATIVE_TOLERANCE * sum; k += 1) {
    term *= x / (a + k);
    sum += term;
  }
  return powerOverGamma(x, a) * sum;
}

/** Regularised upper incomplete gamma by its continued fraction (A & S 6.5.31, Lentz), for x ≥ a + 1. */
function gammaFraction(x: number, a: number): number {
  let b = x + 1 - a;
  let c = Number.POSITIVE_INFINITY;
  let d = 1 / b;
  let fraction = d;
  for (let k = 1; k < TERM_LIMIT; k += 1) {
    const numerator = k * (a - k);
    b += 2;
    d = 1 / (b + numerator * d);
    c = b + numerator / c;
    const factor = c * d;
    fraction *= factor;
    if (Math.abs(factor - 1) <= Number.EPSILON) break;
  }
  return powerOverGamma(x, a) * a * fraction;
}

/** xᵃ e⁻ˣ / Γ(a + 1). */
function powerOverGamma(x: number, a: number): number {
  return Math.exp(-stirlingCorrection(a) - devianceFrom(x, a)) / Math.sqrt(2 * Math.PI * a);
}
