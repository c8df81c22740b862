import { rootOfIncreasing } from "../distributions/inversion.ts";
import { normalDensity } from "../distributions.ts";

/** Abscissa and weight of one term of a quadrature rule. */
type Node = readonly [z: number, weight: number];

/** Positive abscissas and weights of the eight-point Gauss–Legendre rule: Abramowitz & Stegun, Table 25.4. */
const legendre: readonly Node[] = [
  [0.18343464249564978, 0.36268378337836166],
  [0.525532409916329, 0.3137066458778869],
  [0.7966664774136267, 0.22238103445337443],
  [0.9602898564975362, 0.10122853629037706],
];

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
 * Inverts a psychometric function. A table of it, made once, brackets d′; from the grid point below, the function is
 * carried on by the integral of its slope, which has a closed form, and solved by Newton's method.
 */
export function inverse(
  proportionCorrect: (dPrime: number) => number,
  slope: (dPrime: number) => number,
): (proportionCorrect: number) => number {
  let table: number[] | undefined;
  return (target) => {
    table ??= tabulate(proportionCorrect);
    const cell = Math.max(1, upperCell(table, target));
    const lower = (cell - 1) * GRID_STEP;
    const [below = 0, above = 1] = table.slice(cell - 1, cell + 1);
    const start = lower + (GRID_STEP * (target - below)) / (above - below);
    const at = (d: number) => {
      const excess = below - target + integral(slope, lower, d);
      // Closer than its own rounding a proportion can't be met.
      return { value: Math.abs(excess) < Number.EPSILON / 2 ? 0 : excess, derivative: slope(d) };
    };
    return rootOfIncreasing(at, { lower, upper: lower + GRID_STEP, start });
  };
}

/** The first grid point above the target, or the last one. */
function upperCell(table: readonly number[], target: number): number {
  const cell = table.findIndex((value) => value > target);
  return cell === -1 ? table.length - 1 : cell;
}

function tabulate(f: (dPrime: number) => number): number[] {
  const points = LARGEST_D_PRIME / GRID_STEP + 1;
  return Array.from({ length: points }, (_, i) => f(i * GRID_STEP));
}

/** Eight-point Gauss–Legendre rule, exact to rounding over one grid step. */
function integral(f: (x: number) => number, from: number, to: number): number {
  const half = (to - from) / 2;
  const middle = from + half;
  let sum = 0;
  for (const [x, weight] of legendre) {
    sum += weight * (f(middle - half * x) + f(middle + half * x));
  }
  return half * sum;
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
