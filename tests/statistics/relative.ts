import { expect } from "vitest";

/** Asserts relative agreement; what is smaller than `floor` need only be as close as if it were `floor`. */
export function expectRelative(
  ours: number,
  theirs: number,
  tolerance: number,
  floor = 1e-300,
): void {
  const allowed = tolerance * Math.max(Math.abs(theirs), floor);
  expect(Math.abs(ours - theirs), `${ours} against ${theirs}`).toBeLessThanOrEqual(allowed);
}
