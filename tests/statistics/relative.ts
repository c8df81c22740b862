import { expect } from "vitest";

/** Asserts relative agreement; values below `floor` need only be that close to each other. */
export function expectRelative(ours: number, theirs: number, tolerance: number, floor = 0): void {
  const allowed = tolerance * Math.max(Math.abs(theirs), floor);
  expect(Math.abs(ours - theirs), `${ours} against ${theirs}`).toBeLessThanOrEqual(allowed);
}
