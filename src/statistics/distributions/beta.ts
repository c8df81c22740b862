import betainc from "@stdlib/math-base-special-betainc";
import betaln from "@stdlib/math-base-special-betaln";
import { betaTailByFraction } from "./beta-fraction.ts";
import { rootOfIncreasing } from "./inversion.ts";
import { normalLowerQuantile } from "./normal.ts";

/** Farther out than this x or 1 − x is no longer a normal double. */
const LOGIT_LIMIT = 708;
/** Under this the library's prefactor begins to underflow; the continued fraction takes over. */
const SMALL_TAIL = 1e-200;
/** With shapes this large (their sum, the smaller) that prefactor loses digits, as a test shows. */
const LARGE_SUM = 3000;
const LARGE_SMALLER = 50;
/** Where x (in logarithm) is this small the power law is the tail to the last digit. */
const POWER_LAW_FROM = -40;

/** P(X ≤ x) of the beta distribution with shapes a, b > 0 (regularised incomplete beta). */
export function betaLowerTail(x: number, a: number, b: number): number {
  if (Number.isNaN(x)) return Number.NaN;
  if (x <= 0) return 0;
  if (x >= 1) return 1;
  if (areLarge(a, b)) return betaTailByFraction(x, 1 - x, a, b);
  const tail = betainc(x, a, b, true, false);
  return tail < SMALL_TAIL ? betaTailByFraction(x, 1 - x, a, b) : tail;
}

/** P(X > x) of the beta distribution, computed directly. */
export function betaUpperTail(x: number, a: number, b: number): number {
  if (Number.isNaN(x)) return Number.NaN;
  if (x <= 0) return 1;
  if (x >= 1) return 0;
  // The library's arcsine formula for this case loses digits near 1.
  if (a === 0.5 && b === 0.5 && x < 0.5) return 1 - betaLowerTail(x, a, b);
  if (areLarge(a, b)) return betaTailByFraction(1 - x, x, b, a);
  const tail = betainc(x, a, b, true, true);
  return tail < SMALL_TAIL ? betaTailByFraction(1 - x, x, b, a) : tail;
}

function areLarge(a: number, b: number): boolean {
  return a + b > LARGE_SUM && Math.min(a, b) > LARGE_SMALLER;
}

/** The x with P(X ≤ x) = p. */
export function betaLowerQuantile(p: number, a: number, b: number): number {
  return expit(betaLogitQuantile(p, a, b));
}

/** The x with P(X > x) = q. */
export function betaUpperQuantile(q: number, a: number, b: number): number {
  return expit(-betaLogitQuantile(q, b, a));
}

/**
 * ln(x / (1 − x)) of the beta quantile x at lower probability p. The logit keeps full relative accuracy at
 * both ends of (0, 1), so that F and t quantiles can be read off it.
 */
export function betaLogitQuantile(p: number, a: number, b: number): number {
  if (!(p >= 0 && p <= 1)) return Number.NaN;
  if (p > 0.5) return -logitAtSmallTail(1 - p, b, a);
  return logitAtSmallTail(p, a, b);
}

function logitAtSmallTail(p: number, a: number, b: number): number {
  if (p === 0) return Number.NEGATIVE_INFINITY;
  const target = Math.log(p);
  const logBeta = betaln(a, b);
  // P ≤ xᵃ/(a B(a, b)) (1 − x)^…: the power law is the asymptote of the log-concave tail, left of the root.
  const powerLaw = (target + Math.log(a) + logBeta) / a;
  if (powerLaw + Math.log(b) < POWER_LAW_FROM) return powerLaw;
  const normal = Math.log(a / b) + normalLowerQuantile(p) * Math.sqrt(1 / a + 1 / b);
  const start = Math.min(LOGIT_LIMIT, Math.max(-LOGIT_LIMIT, powerLaw, normal));
  return rootOfIncreasing(
    (logit) => {
      const tail = lowerTailAtLogit(logit, a, b);
      const logDensity = a * logExpit(logit) + b * logExpit(-logit) - logBeta;
      return { value: Math.log(tail) - target, derivative: Math.exp(logDensity) / tail };
    },
    { lower: -LOGIT_LIMIT, upper: LOGIT_LIMIT, start },
  );
}

function lowerTailAtLogit(logit: number, a: number, b: number): number {
  // Past the middle 1 − x is the number that has the digits.
  return logit > 0 ? betaUpperTail(expit(-logit), b, a) : betaLowerTail(expit(logit), a, b);
}

function expit(logit: number): number {
  if (logit > 0) return 1 / (1 + Math.exp(-logit));
  const odds = Math.exp(logit);
  return odds / (1 + odds);
}

function logExpit(logit: number): number {
  return logit > 0 ? -Math.log1p(Math.exp(-logit)) : logit - Math.log1p(Math.exp(logit));
}
