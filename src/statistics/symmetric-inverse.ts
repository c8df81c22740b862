/**
 * Inverse of a small symmetric positive definite matrix by Gauss–Jordan elimination; null when a
 * pivot falls under `tolerance` times its diagonal: that row is then a combination of earlier ones.
 */
export function symmetricInverse(
  matrix: readonly (readonly number[])[],
  tolerance = 1e-12,
): number[][] | null {
  const size = matrix.length;
  const rows = matrix.map((row, i) => [
    ...row,
    ...Array.from({ length: size }, (_, j) => (i === j ? 1 : 0)),
  ]);
  for (let column = 0; column < size; column += 1) {
    const pivotRow = rows[column] ?? [];
    const pivot = pivotRow[column] ?? 0;
    if (!(pivot > tolerance * (matrix[column]?.[column] ?? 0))) return null;
    const scaled = pivotRow.map((entry) => entry / pivot);
    for (const [i, row] of rows.entries()) {
      const factor = row[column] ?? 0;
      rows[i] = i === column ? scaled : row.map((entry, j) => entry - factor * (scaled[j] ?? 0));
    }
  }
  return rows.map((row) => row.slice(size));
}
