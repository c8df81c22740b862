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
    await calculations.answer("192.0.2.1", "describe", quick);
    let ticks = 0;
    const clock = setInterval(() => {
      ticks += 1;
    }, 5);
    const replies = await Promise.all([
      calculations.answer("192.0.2.1", "critical-counts", slow),
      calculations.answer("192.0.2.1", "describe", quick),
    ]);
    clearInterval(clock);
    expect(replies.map(({ status }) => status)).toEqual([200, 200]);
    expect(ticks).toBeGreaterThan(10);
  });

  it("are stopped when they take too long, and the next one is answered", async () => {
    const limits = { milliseconds: 1 };
    calculations = makeCalculations(limits);
    const stopped = await calculations.answer("192.0.2.1", "critical-counts", slow);
    expect(stopped.status).toBe(503);
    expect(JSON.parse(stopped.json).error.code).toBe("too-long");
    limits.milliseconds = 30_000;
    const next = await calculations.answer("192.0.2.1", "describe", quick);
    expect([next.status, JSON.parse(next.json).mean]).toEqual([200, 2]);
  });

  it("are refused to an address of which four wait, and not to another", async () => {
    calculations = makeCalculations();
    const one = Array.from({ length: 6 }, () =>
      calculations.answer("192.0.2.1", "describe", quick),
    );
    const other = await calculations.answer("192.0.2.2", "describe", quick);
    const replies = await Promise.all(one);
    expect(replies.map(({ status }) => status)).toEqual([200, 200, 200, 200, 503, 503]);
    expect(JSON.parse(replies[5]?.json ?? "").error.code).toBe("too-busy");
    expect(other.status).toBe(200);
    expect((await calculations.answer("192.0.2.1", "describe", quick)).status).toBe(200);
  });

  it("are refused when too many wait", async () => {
    calculations = makeCalculations();
    const replies = await Promise.all(
      Array.from({ length: 205 }, (_, place) =>
        calculations.answer(`192.0.2.${Math.floor(place / 4)}`, "describe", quick),
      ),
    );
    expect(replies.filter(({ status }) => status === 200)).toHaveLength(200);
    expect(replies.filter(({ status }) => status === 503)).toHaveLength(5);
    expect((await calculations.answer("192.0.2.1", "describe", quick)).status).toBe(200);
  });
});
