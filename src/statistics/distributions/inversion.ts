/** A monotone function of one variable in the neighbourhood of a point. */
export interface Slope {
  value: number;
  derivative: number;
}

interface Bracket {
  lower: number;
  upper: number;
  start: number;
}

const STEP_TOLERANCE = 2e-15;
const STEP_LIMIT = 200;

/**
 * The root of an increasing function inside a bracket: Newton steps, with bisection whenever a step
 * would leave what is known to hold the root. Stops when a step no longer moves the point.
 */
export function rootOfIncreasing(at: (x: number) => Slope, bracket: Bracket): number {
  let { lower, upper } = bracket;
  let x = bracket.start;
  for (let step = 0; step < STEP_LIMIT; step += 1) {
    const { value, derivative } = at(x);
    if (value === 0) return x;
    if (value > 0) upper = x;
    else lower = x;
    const newton = x - value / derivative;
    const next = newton > lower && newton < upper ? newton : (lower + upper) / 2;
    if (Math.abs(next - x) <= STEP_TOLERANCE * Math.max(1, Math.abs(x))) return next;
    x = next;
  }
  return x;
}
