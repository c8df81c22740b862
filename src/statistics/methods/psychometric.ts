import { rootOfIncreasing } from "../distributions/inversion.ts";
import { normalDensity } from "../distributions.ts";

/** Abscissa and weight of one term of a quadrature rule. */
type Node = readonly [z: number, weight: number];

const wholeLine = normalNodes();
const halfLine = halfNormalNodes();

const GRID_STEP = 0.25;
/** At this d′ every method's probability of a miss is below what 1 − pc can hold. */
const LARGEST_D_PRIME = 24;

/**
 * E f(Z) for a standard normal Z and an f built of normal tails. For such integrands the trapezium rule on the whole
 * line converges like exp(−π²/(2 step²)), here far below 1e-16 (Trefethen & Weideman 2014).
 */
export function normalMean(f: (z: number) => number): number {
  return apply(wholeLine, f);
}

/**
 * E f(|Z|): the double-exponential rule z = exp(u − exp(−u)) on the half line (Takahasi & Mori 1974), because
 * f(|z|) has a kink at 0 that the plain trapezium rule would feel.
 */
export function halfNormalMean(f: (z: number) => number): number {
  return apply(halfLine, f);
}

/**
 * Inverts a psychometric function by Newton's method with its slope in closed form, inside a bracket from a table
 * made once.
 */
export function inverse(
  proportionCorrect: (dPrime: number) => number,
  slope: (dPrime: number) => number,
): (proportionCorrect: number) => number {
  let table: number[] | undefined;
  return (target) => {
    table ??= tabulate(proportionCorrect);
    const cell = table.findIndex((value) => value > target);
    const upper = cell === -1 ? LARGEST_D_PRIME : cell * GRID_STEP;
    const at = (d: number) => ({ value: proportionCorrect(d) - target, derivative: slope(d) });
    return rootOfIncreasing(at, { lower: upper - GRID_STEP, upper, start: upper });
  };
}

function tabulate(f: (dPrime: number) => number): number[] {
  const points = LARGEST_D_PRIME / GRID_STEP + 1;
  return Array.from({ length: points }, (_, i) => f(i * GRID_STEP));
}

function apply(nodes: readonly Node[], f: (z: number) => number): number {
  let sum = 0;
  for (const [z, weight] of nodes) sum += weight * f(z);
  return sum;
}

function normalNodes(): Node[] {
  return steps(-9, 9, 1 / 4).map((z) => [z, normalDensity(z) / 4]);
}

function halfNormalNodes(): Node[] {
  return steps(-4, 2.25, 1 / 32).map((u) => {
    const z = Math.exp(u - Math.exp(-u));
    return [z, (2 * normalDensity(z) * z * (1 + Math.exp(-u))) / 32];
  });
}

function steps(from: number, to: number, step: number): number[] {
  return Array.from({ length: Math.round((to - from) / step) + 1 }, (_, i) => from + i * step);
}
