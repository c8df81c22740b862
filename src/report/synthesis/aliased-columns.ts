/**
 * Which columns can't be told from the others: those that a combination of the others explains to
 * more than 99 % (squares about 0, as there is no intercept). `spanning` is a subset that spans
 * them all, every separable column in it.
 *
 * The 99 % are ours: typed amounts are rounded, so exact dependence hardly ever shows, and a variance
 * inflated a hundredfold tells nothing anyway.
 */
export function aliasedColumns(columns: readonly (readonly number[])[]): {
  aliased: number[];
  spanning: number[];
} {
  const indices = columns.map((_, i) => i);
  const isLeft = (i: number, others: readonly number[]) =>
    leftOver(
      column(columns, i),
      others.map((j) => column(columns, j)),
    ) > UNEXPLAINED;
  const aliased = indices.filter(
    (i) =>
      !isLeft(
        i,
        indices.filter((j) => j !== i),
      ),
  );
  const spanning = indices.filter((i) => !aliased.includes(i));
  for (const i of aliased) if (isLeft(i, spanning)) spanning.push(i);
  return { aliased, spanning };
}

const UNEXPLAINED = 0.01;

/** Share of a column's squares that others leave unexplained (modified Gram–Schmidt, twice over). */
function leftOver(values: readonly number[], others: readonly (readonly number[])[]): number {
  const total = dot(values, values);
  if (total === 0) return 0;
  const directions: number[][] = [];
  for (const other of others) {
    const own = without(without(other, directions), directions);
    const length = Math.sqrt(dot(own, own));
    // What is left of a dependent column is rounding.
    if (length > ROUNDING * Math.sqrt(dot(other, other))) {
      directions.push(own.map((value) => value / length));
    }
  }
  const rest = without(without(values, directions), directions);
  return dot(rest, rest) / total;
}

const ROUNDING = 1e-6;

function without(values: readonly number[], directions: readonly (readonly number[])[]): number[] {
  return directions.reduce<number[]>(
    (rest, direction) => {
      const along = dot(rest, direction);
      return rest.map((value, i) => value - along * (direction[i] ?? 0));
    },
    [...values],
  );
}

const dot = (one: readonly number[], other: readonly number[]) =>
  one.reduce((sum, value, i) => sum + value * (other[i] ?? 0), 0);

const column = (columns: readonly (readonly number[])[], index: number) => columns[index] ?? [];
