/**
 * P(U ≤ limit) for U = Σ wᵢBᵢ over fair coins Bᵢ, by listing the subsets of two halves in order of
 * their sums and pairing them off (Horowitz & Sahni 1974, J. ACM 21, 277): 2^(n/2) steps, not 2^n.
 * Whole numbers of any size, at most some forty of them.
 */
export function enumerateLowerTail(weights: readonly bigint[], limit: bigint): number {
  const middle = Math.floor(weights.length / 2);
  const left = subsetSums(weights.slice(0, middle));
  const right = subsetSums(weights.slice(middle));
  let count = 0;
  let fitting = right.length;
  for (const sum of left) {
    while (fitting > 0 && sum + (right[fitting - 1] ?? 0n) > limit) fitting--;
    count += fitting;
  }
  return count / 2 ** weights.length;
}

/** All subset sums in ascending order, by merging the sums without a weight with those with it. */
function subsetSums(weights: readonly bigint[]): bigint[] {
  let sums: bigint[] = [0n];
  for (const weight of weights) sums = merge(sums, weight);
  return sums;
}

function merge(sums: readonly bigint[], weight: bigint): bigint[] {
  const merged: bigint[] = [];
  let next = 0;
  for (const sum of sums) {
    for (let shifted = sums[next]; shifted !== undefined; shifted = sums[next]) {
      if (shifted + weight > sum) break;
      merged.push(shifted + weight);
      next++;
    }
    merged.push(sum);
  }
  for (const rest of sums.slice(next)) merged.push(rest + weight);
  return merged;
}
