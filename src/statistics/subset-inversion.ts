import { bisect } from "./bisection.ts";
import { dismissal, type Group, NEGLIGIBLE_SQUARE } from "./transform-bound.ts";

/** Whole positive weights, the limit of their sum, and what inverting their transform would take. */
export interface Inversion {
  groups: Group[];
  limit: number;
  /** Exponential tilt that centres the distribution near the limit, so that a small tail keeps its digits. */
  tilt: number;
  /** Frequencies, a power of two. */
  size: number;
  /** Factors to look up until every frequency is summed or known to be negligible. */
  work: number;
}

/** Plans for more weights than can be enumerated and a limit under half their sum. */
export function planInversion(weights: readonly number[], limit: number): Inversion {
  const groups = groupsOf(weights);
  const squares = groups.reduce((sum, { weight, count }) => sum + count * weight ** 2, 0);
  const deviation = Math.sqrt(squares) / 2;
  const tilt = Math.min(centringTilt(groups, limit), -1 / deviation);
  const distance =
    Math.sqrt((squares * LOG_NEGLIGIBLE) / 2) + Math.abs(tiltedMean(groups, tilt) - limit);
  const size = 2 ** Math.ceil(Math.log2(2 * distance));
  const work = size > MOST_FREQUENCIES ? Infinity : (size / 2) * factorsPerFrequency(groups, tilt);
  return { groups, limit, tilt, size, work };
}

/**
 * P(U ≤ limit) for U = Σ wᵢBᵢ over fair coins Bᵢ, from the discrete Fourier transform of the tilted
 * distribution (Davies 1973, Biometrika 60, 415; tilting: Esscher 1932). Nothing is approximated but
 * by leaving out what a bound shows to be under 1e-17 of the answer: sums further than Hoeffding's
 * distance from the mean, and frequencies whose transform is under 1e-28.
 */
export function runInversion(plan: Inversion): number {
  const { groups, limit, tilt, size } = plan;
  const total = groups.reduce((sum, { weight, count }) => sum + count * weight, 0);
  const negligible = dismissal(groups, tilt, size);
  let expected = kernel(plan, 0)[0];
  for (let frequency = 1; frequency <= size / 2; frequency++) {
    if (negligible(frequency)) continue;
    const term = realPart(plan, frequency, total - 2 * limit);
    expected += frequency === size / 2 ? term : 2 * term;
  }
  const logScale = groups.reduce(
    (sum, { weight, count }) => sum + count * logCosh((tilt * weight) / 2),
    tilt * (total / 2 - limit),
  );
  return (Math.exp(logScale) * expected) / size;
}

/** −ln 1e-21, for Hoeffding's bound exp(−2t²/Σw²). */
const LOG_NEGLIGIBLE = 48.4;

function groupsOf(weights: readonly number[]): Group[] {
  const counts = new Map<number, number>();
  for (const weight of weights) counts.set(weight, (counts.get(weight) ?? 0) + 1);
  return [...counts]
    .map(([weight, count]) => ({ weight, count }))
    .sort((a, b) => b.count - a.count || b.weight - a.weight);
}

/** The tilt under which the mean sum is the limit; it falls as the tilt does. */
function centringTilt(groups: readonly Group[], limit: number): number {
  let lowest = -1 / (groups[0]?.weight ?? 1);
  while (tiltedMean(groups, lowest) > limit) lowest *= 2;
  return -bisect((tilt) => tiltedMean(groups, -tilt) > limit, 0, -lowest);
}

function tiltedMean(groups: readonly Group[], tilt: number): number {
  return groups.reduce(
    (sum, { weight, count }) => sum + (count * weight) / (1 + Math.exp(-tilt * weight)),
    0,
  );
}

/**
 * Over random angles the logarithm of one factor's squared modulus averages 2 ln((1 + |tanh x|)/2), x = θw/2. Where
 * these add up, a frequency is dismissed after some factors; where they don't, each needs all in full.
 */
function factorsPerFrequency(groups: readonly Group[], tilt: number): number {
  let bound = 0;
  for (const [index, { weight, count }] of groups.entries()) {
    bound += count * 2 * Math.log((1 + Math.abs(Math.tanh((tilt * weight) / 2))) / 2);
    if (bound < 1.5 * NEGLIGIBLE_SQUARE) return index + 1;
  }
  return groups.length * COST_IN_FULL;
}

/** A factor in full against one that is looked up. */
const COST_IN_FULL = 20;
/** Beyond this many frequencies, products of whole numbers would no longer be exact. */
const MOST_FREQUENCIES = 2 ** 26;

/** Real part of one frequency's term: the transform in full, turned back by the limit, times the kernel. */
function realPart(plan: Inversion, frequency: number, shift: number): number {
  const { groups, tilt, size } = plan;
  const angle = (times: number) =>
    (Math.PI * ((frequency * (times % (2 * size))) % (2 * size))) / size;
  let logModulus = 0;
  let phase = angle(shift);
  for (const { weight, count } of groups) {
    const y = angle(weight);
    const x = (tilt * weight) / 2;
    logModulus += (count / 2) * Math.log1p(-((Math.sin(y) / Math.cosh(x)) ** 2));
    phase += count * Math.atan2(Math.tanh(x) * Math.sin(y), Math.cos(y));
  }
  const [real, imaginary] = kernel(plan, frequency);
  return Math.exp(logModulus) * (real * Math.cos(phase) - imaginary * Math.sin(phase));
}

/** Σ e^((θ + iω)k) over the half period below the limit. */
function kernel({ tilt, size }: Inversion, frequency: number): [number, number] {
  const omega = (2 * Math.PI * frequency) / size;
  const decay = Math.exp(tilt);
  const real = -Math.expm1(tilt) + 2 * decay * Math.sin(omega / 2) ** 2;
  const imaginary = -decay * Math.sin(omega);
  const last = Math.exp((tilt * size) / 2);
  const numerator = frequency % 2 === 0 ? 1 - last : 1 + last;
  const squared = real ** 2 + imaginary ** 2;
  return [(numerator * real) / squared, (-numerator * imaginary) / squared];
}

function logCosh(x: number): number {
  const size = Math.abs(x);
  return size < 1
    ? Math.log1p(2 * Math.sinh(size / 2) ** 2)
    : size + Math.log1p(Math.exp(-2 * size)) - Math.LN2;
}
