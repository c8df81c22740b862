import gammaln from "@stdlib/math-base-special-gammaln";

const HALF_LOG_TWO_PI = 0.5 * Math.log(2 * Math.PI);
const SERIES_FROM = 16;

/**
 * ln Γ(a + 1) less Stirling's ½ ln 2π + (a + ½) ln a − a. Keeping the correction apart spares the
 * cancellation of large logarithms. Source: Loader (2000), Fast and accurate computation of binomial
 * probabilities.
 */
export function stirlingCorrection(a: number): number {
  if (a < SERIES_FROM) return gammaln(a + 1) - HALF_LOG_TWO_PI - (a + 0.5) * Math.log(a) + a;
  const w = 1 / (a * a);
  return (1 / 12 - w * (1 / 360 - w * (1 / 1260 - w * (1 / 1680 - w / 1188)))) / a;
}

/** x ln(x/mean) − x + mean, without cancellation where x is near the mean (Loader's deviance part). */
export function devianceFrom(mean: number, x: number): number {
  if (x === 0) return mean;
  const excess = (x - mean) / mean;
  if (Math.abs(excess) < 0.1) return mean * devianceNearZero(excess);
  return x * Math.log(x / mean) - x + mean;
}

/** (1 + e) ln(1 + e) − e as a series: Σ (−e)ᵏ/(k (k − 1)), k from 2. */
function devianceNearZero(excess: number): number {
  let sum = 0;
  let power = excess * excess;
  for (let k = 2; k < 40; k += 1) {
    const term = power / (k * (k - 1));
    sum += term;
    if (Math.abs(term) <= 1e-18 * Math.abs(sum)) break;
    power *= -excess;
  }
  return sum;
}
