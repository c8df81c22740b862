import { friedman } from "../../src/statistics/friedman.ts";
import { numberOf } from "./arguments.ts";
import { calculated } from "./calculated.ts";
import { testPublished } from "./published-checks.ts";

testPublished("variance.json", {
  calculator: calculated,
  friedmanTail: (treatments, blocks, statistic) =>
    friedmanTail(numberOf(treatments), numberOf(blocks), numberOf(statistic)),
});

/** The exact tail of a printed statistic, by searching a table of untied ranks that has it. */
function friedmanTail(treatments: number, blocks: number, statistic: number): number | null {
  const orders = permutations(Array.from({ length: treatments }, (_, i) => i + 1));
  const table = findTable([orders[0] ?? []], orders, blocks, statistic);
  if (table === null) throw new Error(`No table of ${treatments} by ${blocks} has ${statistic}`);
  return friedman(table).exactPValue;
}

function findTable(
  rows: number[][],
  orders: number[][],
  blocks: number,
  statistic: number,
): number[][] | null {
  if (rows.length === blocks) {
    return Math.abs((friedmanStatistic(rows) ?? 0) - statistic) < 1e-5 ? rows : null;
  }
  for (const order of orders) {
    const found = findTable([...rows, order], orders, blocks, statistic);
    if (found) return found;
  }
  return null;
}

function friedmanStatistic(rows: number[][]): number {
  const [n, k] = [rows.length, rows[0]?.length ?? 0];
  const sums = Array.from({ length: k }, (_, j) =>
    rows.reduce((sum, row) => sum + (row[j] ?? 0), 0),
  );
  return (12 * sums.reduce((sum, r) => sum + r * r, 0)) / (n * k * (k + 1)) - 3 * n * (k + 1);
}

function permutations(values: number[]): number[][] {
  if (values.length < 2) return [values];
  return values.flatMap((value, i) =>
    permutations(values.toSpliced(i, 1)).map((rest) => [value, ...rest]),
  );
}
