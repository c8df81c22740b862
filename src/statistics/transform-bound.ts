/** Equal weights share a factor of the transform. */
export interface Group {
  weight: number;
  count: number;
}

/** ln of the squared modulus below which a frequency is left out. */
export const NEGLIGIBLE_SQUARE = -130;

/**
 * Tells quickly whether a frequency of the tilted transform is negligible. The squared modulus of one factor is
 * 1 − sin²(πwj/N)/cosh²(θw/2); its logarithm's upper bound is read from a table by the leading bits
 * of wj/N, which 32-bit multiplication gives exactly.
 */
export function dismissal(
  groups: readonly Group[],
  tilt: number,
  size: number,
): (frequency: number) => boolean {
  const table = boundTable();
  const shift = 32 - Math.log2(size);
  const weights = Int32Array.from(groups, ({ weight }) => weight % size);
  const counts = Float64Array.from(groups, ({ count }) => count);
  const rows = Int32Array.from(groups, ({ weight }) => {
    const share = 1 / Math.cosh((tilt * weight) / 2) ** 2;
    return Math.floor(share * LEVELS) * BINS;
  });
  return (frequency) => {
    const turn = frequency << shift;
    let bound = 0;
    for (let g = 0; g < weights.length; g++) {
      const bin = Math.imul(weights[g] ?? 0, turn) >>> (32 - BIN_BITS);
      bound += (counts[g] ?? 0) * (table[(rows[g] ?? 0) + bin] ?? 0);
      if (bound < NEGLIGIBLE_SQUARE) return true;
    }
    return false;
  };
}

const BIN_BITS = 11;
const BINS = 2 ** BIN_BITS;
const LEVELS = 16;

function boundTable(): Float64Array {
  const table = new Float64Array((LEVELS + 1) * BINS);
  const square = (bin: number) => Math.sin((Math.PI * bin) / BINS) ** 2;
  for (let bin = 0; bin < BINS; bin++) {
    const least = Math.min(square(bin), square(bin + 1));
    for (let level = 0; level <= LEVELS; level++) {
      table[level * BINS + bin] = Math.log1p((-level / LEVELS) * least);
    }
  }
  return table;
}
