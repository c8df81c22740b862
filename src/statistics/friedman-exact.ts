/**
 * P(the rank sums spread at least as far as seen) when each block's midranks fall on the treatments in
 * any order, exactly (Friedman 1937, JASA 32, 675, for small tables): the distribution of the rank
 * sums, block by block. Treatments are exchangeable, so sums are kept in ascending order only. Takes
 * doubled midranks, a row per block; null where the distribution grows beyond reach.
 */
export function exactSpreadTail(blocks: readonly (readonly number[])[]): number | null {
  const treatments = blocks[0]?.length ?? 0;
  if (treatments > MOST_TREATMENTS) return null;
  let states: State[] = [{ sums: new Array<number>(treatments).fill(0), probability: 1 }];
  let work = 0;
  for (const block of blocks) {
    const orders = permutations(block);
    work += states.length * orders.length;
    if (work > MOST_WORK) return null;
    states = oneMoreBlock(states, orders);
  }
  const seen = squares(blocks.reduce<readonly number[]>(plus, new Array(treatments).fill(0)));
  return states
    .filter(({ sums }) => squares(sums) >= seen)
    .reduce((sum, { probability }) => sum + probability, 0);
}

interface State {
  sums: readonly number[];
  probability: number;
}

const MOST_TREATMENTS = 6;
const MOST_WORK = 250_000;

function oneMoreBlock(states: readonly State[], orders: readonly (readonly number[])[]): State[] {
  const next = new Map<string, State>();
  for (const { sums, probability } of states) {
    for (const order of orders) {
      const reached = plus(sums, order).sort((a, b) => a - b);
      const key = reached.join();
      const before = next.get(key)?.probability ?? 0;
      next.set(key, { sums: reached, probability: before + probability / orders.length });
    }
  }
  return [...next.values()];
}

function permutations(values: readonly number[]): number[][] {
  if (values.length < 2) return [[...values]];
  return values.flatMap((value, i) =>
    permutations(values.toSpliced(i, 1)).map((rest) => [value, ...rest]),
  );
}

function plus(a: readonly number[], b: readonly number[]): number[] {
  return a.map((value, i) => value + (b[i] ?? 0));
}

/** The total being fixed, the sum of squares orders the tables as Friedman's statistic does. */
function squares(sums: readonly number[]): number {
  return sums.reduce((sum, value) => sum + value * value, 0);
}
