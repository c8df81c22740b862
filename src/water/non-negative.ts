/**
 * Non-negative least squares: the x ≥ 0 that minimises ‖A x − b‖, by the active-set method of
 * Lawson and Hanson, Solving Least Squares Problems (1974), chapter 23. `columns` holds A column by
 * column. Columns that others already make up stay at 0.
 */
export function nonNegativeLeastSquares(
  columns: readonly (readonly number[])[],
  target: readonly number[],
): number[] {
  const scale = Math.max(1, ...target.map(Math.abs));
  let solution = columns.map(() => 0);
  const active: number[] = [];
  for (let round = 0; round < 10 * (columns.length + 1); round++) {
    const next = steepest(columns, residual(columns, solution, target), active, 1e-12 * scale);
    if (next === null) break;
    active.push(next);
    solution = settle(columns, target, solution, active);
  }
  return solution;
}

/** The inactive column along which the fit improves most, or null when none does. */
function steepest(
  columns: readonly (readonly number[])[],
  left: readonly number[],
  active: readonly number[],
  threshold: number,
): number | null {
  const gradients = columns.map((column, index) => ({ index, gain: dot(column, left) }));
  const free = gradients.filter(({ index, gain }) => gain > threshold && !active.includes(index));
  if (free.length === 0) return null;
  return free.reduce((best, other) => (other.gain > best.gain ? other : best)).index;
}

/** Moves to the unconstrained fit of the active columns, dropping those that would go negative. */
function settle(
  columns: readonly (readonly number[])[],
  target: readonly number[],
  start: readonly number[],
  active: number[],
): number[] {
  let current = [...start];
  while (true) {
    const fit = leastSquares(
      active.map((index) => columns[index] ?? []),
      target,
    );
    const blocked = active.filter((_, place) => (fit[place] ?? 0) <= 0);
    const step = blocked.reduce((least, index) => {
      const from = current[index] ?? 0;
      const to = fit[active.indexOf(index)] ?? 0;
      return Math.min(least, from / (from - to || 1));
    }, 1);
    current = current.map((from, index) => {
      const place = active.indexOf(index);
      return place < 0 ? 0 : from + step * ((fit[place] ?? 0) - from);
    });
    if (blocked.length === 0) return current;
    const kept = active.filter((index) => (current[index] ?? 0) > 1e-14);
    active.splice(0, active.length, ...kept);
    current = current.map((value, index) => (kept.includes(index) ? value : 0));
  }
}

/** Least squares by the normal equations: the columns here are 0 and 1 and never ill-conditioned. */
function leastSquares(columns: readonly (readonly number[])[], target: readonly number[]) {
  const rows = columns.map((left) => [
    ...columns.map((right) => dot(left, right)),
    dot(left, target),
  ]);
  return eliminate(rows);
}

/** Solves a square system given as rows with the right-hand side last (Gauss–Jordan, pivoting). */
function eliminate(rows: number[][]): number[] {
  const size = rows.length;
  let system = rows;
  for (let column = 0; column < size; column++) {
    const at = (row: readonly number[]) => row[column] ?? 0;
    const rest = system.slice(column);
    const pivot = rest.reduce((best, row) => (Math.abs(at(row)) > Math.abs(at(best)) ? row : best));
    const head = pivot.map((value) => value / at(pivot));
    const others = rest.filter((row) => row !== pivot);
    const clear = (row: number[]) =>
      row.map((value, place) => value - at(row) * (head[place] ?? 0));
    system = [...system.slice(0, column).map(clear), head, ...others.map(clear)];
  }
  return system.map((row) => row[size] ?? 0);
}

function residual(
  columns: readonly (readonly number[])[],
  solution: readonly number[],
  target: readonly number[],
): number[] {
  return target.map((wanted, row) => {
    const got = columns.reduce(
      (sum, column, index) => sum + (column[row] ?? 0) * (solution[index] ?? 0),
      0,
    );
    return wanted - got;
  });
}

function dot(left: readonly number[], right: readonly number[]): number {
  return left.reduce((sum, value, index) => sum + value * (right[index] ?? 0), 0);
}
