/** Positive whole weights and the limit of their sum, planned so that the cost is known beforehand. */
export interface Program {
  weights: number[];
  limit: number;
  total: number;
  /** Cells to update, the widths of all windows together; infinite where they would not fit in memory. */
  work: number;
}

/** Ascending weights keep the early windows narrow. */
export function planProgram(weights: readonly number[], limit: number): Program {
  const total = weights.reduce((sum, weight) => sum + weight, 0);
  if (limit > MOST_SUMS) return { weights: [...weights], limit, total, work: Infinity };
  const program = { weights: weights.toSorted((a, b) => a - b), limit, total, work: 0 };
  let reached = 0;
  for (const weight of program.weights) {
    reached += weight;
    program.work += Math.max(0, highest(program, reached) - lowest(program, reached) + 1);
  }
  return program;
}

/**
 * P(U ≤ limit) for U = Σ wᵢBᵢ over fair coins Bᵢ, by the recursion p(u) ← ½p(u) + ½p(u − w) over the
 * sums that are reachable and not yet decided (after Pagano & Tritchler 1983, JASA 78, 435).
 * Starting from 2^1000 instead of 1 keeps every cell that could matter above the smallest double;
 * halving keeps all below the largest.
 */
export function runProgram(program: Program): number {
  const mass = new Float64Array(program.limit + 1);
  mass[0] = START;
  let [decided, reached, from] = [0, 0, 0];
  for (const weight of program.weights) {
    reached += weight;
    spread(mass, weight, from, highest(program, reached));
    const undecided = lowest(program, reached);
    for (let sum = from; sum < undecided; sum++) decided += mass[sum] ?? 0;
    from = undecided;
  }
  return decided / ROOT / ROOT;
}

/** A quarter of a gigabyte of sums. */
const MOST_SUMS = 2 ** 25;

const ROOT = 2 ** 500;
const START = ROOT * ROOT;

/** Sums above the limit never come back under it. */
function highest(program: Program, reached: number): number {
  return Math.min(program.limit, reached);
}

/** A sum that stays within the limit even if all remaining weights enter is decided already. */
function lowest(program: Program, reached: number): number {
  return Math.max(0, program.limit - (program.total - reached) + 1);
}

/** One coin: from the top down, so that no cell is read after it has changed. */
function spread(mass: Float64Array, weight: number, from: number, to: number): void {
  const lowestSource = from + weight;
  for (let sum = to; sum >= lowestSource; sum--) {
    mass[sum] = 0.5 * ((mass[sum] ?? 0) + (mass[sum - weight] ?? 0));
  }
  for (let sum = Math.min(to, lowestSource - 1); sum >= from; sum--) {
    mass[sum] = 0.5 * (mass[sum] ?? 0);
  }
}
