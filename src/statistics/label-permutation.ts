/** One block's values, by the label they carry. */
export interface LabelledBlock {
  test: readonly bigint[];
  control: readonly bigint[];
}

export type Arrangements =
  | { ok: true; arrangements: bigint; asExtreme: bigint; atLargest: bigint }
  | { ok: false; refusal: string };

/**
 * Counts the ways to give out the labels within blocks, those whose sum over the values labelled
 * `test` is at least the one seen, and those that reach the largest sum there is, exactly. With the
 * numbers of labels fixed, that sum orders the arrangements as the difference of means does. Works
 * through the distinct sums, so ties are cheap; refuses when too many are distinct.
 */
export function countArrangements(blocks: readonly LabelledBlock[]): Arrangements {
  const most = mostSums(blocks);
  let sums: Tally = new Map([[0n, 1n]]);
  for (const block of blocks) {
    const own = sumsOfBlock(block, most);
    if (!own || own.size * sums.size > most) return { ok: false, refusal: REFUSAL };
    sums = convolve(sums, own);
  }
  const seen = total(blocks.flatMap((block) => block.test));
  let [arrangements, asExtreme, largest] = [0n, 0n, 0n];
  for (const [sum, ways] of sums) {
    arrangements += ways;
    if (sum >= seen) asExtreme += ways;
    if (sum > largest) largest = sum;
  }
  return { ok: true, arrangements, asExtreme, atLargest: sums.get(largest) ?? 0n };
}

/** How many ways lead to each sum. */
type Tally = Map<bigint, bigint>;

/** Some seconds of additions; those of long numbers take longer. */
function mostSums(blocks: readonly LabelledBlock[]): number {
  const largest = total(blocks.flatMap(({ test, control }) => [...test, ...control]));
  return largest < 2n ** 63n ? 10_000_000 : 400_000;
}

const REFUSAL =
  "an exact permutation of so many pairs with so many different numbers of assessments is out of " +
  "reach, and none is guessed: give fewer pairs, or equal numbers of assessments";

/** The sums over every choice of as many values as carry the label `test`; null when too many. */
function sumsOfBlock({ test, control }: LabelledBlock, most: number): Tally | null {
  const values = [...test, ...control];
  const chosen: Tally[] = Array.from({ length: test.length + 1 }, () => new Map());
  chosen[0]?.set(0n, 1n);
  let work = 0;
  for (const [index, value] of values.entries()) {
    const additions = chosen.slice(0, -1).reduce((sum, { size }) => sum + size, 0);
    // Tallies never shrink, so every value to come costs at least as much: a refusal needs no wait.
    if (work + additions * (values.length - index) > most) return null;
    work += additions;
    for (let count = test.length; count > 0; count--) {
      const [fewer, more] = [chosen[count - 1], chosen[count]];
      if (!fewer || !more) continue;
      for (const [sum, ways] of fewer) add(more, sum + value, ways);
    }
  }
  return chosen[test.length] ?? null;
}

function convolve(left: Tally, right: Tally): Tally {
  const both: Tally = new Map();
  for (const [a, waysA] of left) {
    for (const [b, waysB] of right) add(both, a + b, waysA * waysB);
  }
  return both;
}

function add(tally: Tally, sum: bigint, ways: bigint): void {
  tally.set(sum, (tally.get(sum) ?? 0n) + ways);
}

function total(values: readonly bigint[]): bigint {
  return values.reduce((sum, value) => sum + value, 0n);
}
