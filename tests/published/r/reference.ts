import { readFileSync } from "node:fs";
import { describe, expect, it } from "vitest";
import { z } from "zod";

const fixture = z
  .object({
    source: z.string(),
    axes: z.record(z.string(), z.array(z.number())),
    lines: z.record(z.string(), z.string()),
  })
  .catchall(z.array(z.number().nullable()));

/** What the program promises against R: relative agreement. */
const AGREEMENT = 1e-10;
/** Below the normal doubles digits run out on either side. */
const SMALLEST = 1e-300;

/** Reads an axis of a grid point. */
export type Point = (axis: string) => number;
export type Columns = Record<string, (at: Point) => number>;

/** Compares every column of a stored grid with ours. */
export function testAgainstReference(name: string, columns: Columns): void {
  const reference = read(name);
  const points = grid(reference.axes);

  describe(name, () => {
    it(`is compared at more than a thousand points with ${reference.source}`, () => {
      expect(points.length).toBeGreaterThan(1000);
      expect(Object.keys(columns)).toEqual(Object.keys(reference.lines));
    });

    it.each(Object.keys(columns))("agrees in %s to 1e-10, tails included", (column) => {
      const theirs = z.array(z.number().nullable()).parse(reference[column]);
      expect(theirs).toHaveLength(points.length);
      const differing = points.filter((point, i) => {
        const ours = columns[column]?.((axis) => point[axis] ?? Number.NaN) ?? Number.NaN;
        return !agrees(ours, theirs[i] ?? null);
      });
      expect(differing).toEqual([]);
    });
  });
}

function agrees(ours: number, theirs: number | null): boolean {
  if (theirs === null) return !Number.isFinite(ours);
  if (Math.abs(theirs) < SMALLEST) return Math.abs(ours) <= SMALLEST * (1 + AGREEMENT);
  return Math.abs(ours - theirs) <= AGREEMENT * Math.abs(theirs);
}

function read(name: string) {
  return fixture.parse(JSON.parse(readFileSync(new URL(`${name}.json`, import.meta.url), "utf8")));
}

/** The points of R's expand.grid: the first axis varies fastest. */
function grid(axes: Record<string, number[]>): Record<string, number>[] {
  let points: Record<string, number>[] = [{}];
  for (const [axis, values] of Object.entries(axes).reverse()) {
    points = points.flatMap((point) => values.map((value) => ({ ...point, [axis]: value })));
  }
  return points;
}
