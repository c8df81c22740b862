import { afterEach, describe, expect, it } from "vitest";
import { type Calculations, makeCalculations } from "../../server/api/calculations.ts";

/** A calculation of the order of a second. */
const slow = JSON.stringify({ method: "triangle", from: 1, to: 100_000 });
const quick = '{"values":[1,3]}';

describe("Calculations run beside the server", () => {
  let calculations: Calculations;
  afterEach(() => calculations.close());

  it("in turn, while the server goes on with its own work", async () => {
    calculations = makeCalculations();
    await calculations.answer("describe", quick);
    let ticks = 0;
    const clock = setInterval(() => {
      ticks += 1;
    }, 5);
    const replies = await Promise.all([
      calculations.answer("critical-counts", slow),
      calculations.answer("describe", quick),
    ]);
    clearInterval(clock);
    expect(replies.map(({ status }) => status)).toEqual([200, 200]);
    expect(ticks).toBeGreaterThan(10);
  });

  it("are stopped when they take too long, and the next one is answered", async () => {
    const limits = { milliseconds: 1 };
    calculations = makeCalculations(limits);
    const stopped = await calculations.answer("critical-counts", slow);
    expect(stopped.status).toBe(503);
    expect(JSON.parse(stopped.json).error.code).toBe("too-long");
    limits.milliseconds = 30_000;
    const next = await calculations.answer("describe", quick);
    expect([next.status, JSON.parse(next.json).mean]).toEqual([200, 2]);
  });

  it("are refused when too many wait", async () => {
    calculations = makeCalculations();
    const replies = await Promise.all(
      Array.from({ length: 205 }, () => calculations.answer("describe", quick)),
    );
    expect(replies.filter(({ status }) => status === 200)).toHaveLength(200);
    expect(replies.filter(({ status }) => status === 503)).toHaveLength(5);
    expect((await calculations.answer("describe", quick)).status).toBe(200);
  });
});
