import { devianceFrom, stirlingCorrection } from "./stirling.ts";

const TERM_LIMIT = 100_000;

/**
 * P(X ≤ x) of the beta distribution: prefactor in logarithms and without cancellation (Loader 2000), then the
 * continued fraction 26.5.8 of Abramowitz & Stegun by Lentz's method. `y` is 1 − x.
 */
export function betaTailByFraction(x: number, y: number, a: number, b: number): number {
  // The fraction converges fast on the near side of the mean only.
  if (x > a / (a + b)) return 1 - betaTailByFraction(y, x, b, a);
  return Math.exp(logPrefactor(x, y, a, b) + Math.log(continuedFraction(x, a, b)));
}

/** ln of xᵃ yᵇ / (a B(a, b)). */
function logPrefactor(x: number, y: number, a: number, b: number): number {
  const n = a + b;
  const correction = stirlingCorrection(n) - stirlingCorrection(a) - stirlingCorrection(b);
  const deviance = devianceFrom(n * x, a) + devianceFrom(n * y, b);
  return correction - deviance + 0.5 * Math.log(b / (2 * Math.PI * a * n));
}

function continuedFraction(x: number, a: number, b: number): number {
  let c = 1;
  let d = 1 / (1 - ((a + b) * x) / (a + 1));
  let fraction = d;
  for (let m = 1; m < TERM_LIMIT; m += 1) {
    const even = (m * (b - m) * x) / ((a + 2 * m - 1) * (a + 2 * m));
    d = 1 / (1 + even * d);
    c = 1 + even / c;
    fraction *= c * d;
    const odd = (-(a + m) * (a + b + m) * x) / ((a + 2 * m) * (a + 2 * m + 1));
    d = 1 / (1 + odd * d);
    c = 1 + odd / c;
    const factor = c * d;
    fraction *= factor;
    if (Math.abs(factor - 1) <= Number.EPSILON) break;
  }
  return fraction;
}
