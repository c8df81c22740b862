import { describe, expect, it } from "vitest";
import { appendEvent, CHAIN_START, type SessionEvent } from "../../src/experiment/event.ts";
import { planSchema } from "../../src/experiment/plan.ts";
import {
  minutesSincePouring,
  nearestMoment,
  placeInWindow,
  pouringsOf,
  servingWindow,
} from "../../src/experiment/pouring.ts";
import { examplePlan } from "../sealed-session.ts";

const at = (clock: string) => `2026-03-02T${clock}:00.000Z`;

describe("The pourings of a log", () => {
  /** A log of pourings and corrections, sequences from 1. */
  const log = (acts: Pick<SessionEvent, "kind" | "body">[]): SessionEvent[] => {
    const events: SessionEvent[] = [];
    for (const act of acts) {
      const head = events.at(-1) ?? CHAIN_START;
      events.push(appendEvent(head, { ...act, at: at("09:30"), actor: "lead:one" }));
    }
    return events;
  };
  const poured = (coffeeId: string, pair: number, clock: string) => ({
    kind: "round-poured",
    body: { round: 1, coffeeId, pair, pouredAt: at(clock) },
  });
  const corrected = (sequence: number, pouredAt: string | null) => ({
    kind: "pouring-corrected",
    body: { round: 1, sequence, pouredAt },
  });

  it("are read in order of time, a round poured anew among them", () => {
    const read = pouringsOf(
      log([poured("c1", 1, "09:10"), poured("c2", 1, "09:05"), poured("c1", 1, "09:40")]),
    );
    expect(read.map(({ coffeeId, pouredAt }) => [coffeeId, pouredAt])).toEqual([
      ["c2", at("09:05")],
      ["c1", at("09:10")],
      ["c1", at("09:40")],
    ]);
  });

  it("stand as they were corrected last, or not at all, and other events say nothing of them", () => {
    const events = log([
      { kind: "opened", body: {} },
      poured("c1", 1, "09:10"),
      poured("c2", 1, "09:12"),
      corrected(2, at("09:06")),
      corrected(2, at("09:08")),
      corrected(3, null),
      corrected(99, at("09:00")),
    ]);
    expect(pouringsOf(events)).toEqual([
      { sequence: 2, recordedAt: at("09:30"), coffeeId: "c1", pair: 1, pouredAt: at("09:08") },
    ]);
  });
});

describe("The serving window", () => {
  const window = { fromMinutes: 5, withinMinutes: 20 };

  it.each([
    [4.99, "too-hot"],
    [5, "inside"],
    [20, "inside"],
    [20.01, "too-cold"],
  ])("%s minutes after pouring is %s of 5 to 20", (minutes, place) => {
    expect(placeInWindow(minutes, window)).toBe(place);
  });

  it("has no side that the plan leaves open", () => {
    expect(placeInWindow(0, { fromMinutes: null, withinMinutes: 20 })).toBe("inside");
    expect(placeInWindow(999, { fromMinutes: 5, withinMinutes: null })).toBe("inside");
    expect(servingWindow({})).toBeNull();
    expect(servingWindow({ serving: { palateRestSeconds: 45 } })).toBeNull();
    expect(servingWindow({ serving: { servingFromMinutes: 5 } })).toEqual({
      fromMinutes: 5,
      withinMinutes: null,
    });
  });

  it.each([
    [{ servingFromMinutes: 20, windowMinutes: 20 }, false],
    [{ servingFromMinutes: 19, windowMinutes: 20 }, true],
    [{ servingFromMinutes: 19 }, true],
    [{ windowMinutes: 20 }, true],
  ])("opens before it closes: %j", (serving, fits) => {
    const read = planSchema.safeParse({ ...examplePlan, serving });
    expect(read.success).toBe(fits);
    const [issue] = read.error?.issues ?? [];
    if (!fits) expect(issue?.path).toEqual(["serving", "servingFromMinutes"]);
  });
});

describe("Minutes since pouring", () => {
  const pourings = [
    { coffeeId: "c1", pair: 1, pouredAt: at("09:00") },
    { coffeeId: "c1", pair: 2, pouredAt: at("09:20") },
    { coffeeId: "c1", pair: 1, pouredAt: at("09:30") },
  ];
  const since = (clock: string | null, pair = 1, coffeeId = "c1") =>
    minutesSincePouring(
      { coffeeId, pair, answeredAt: clock === null ? null : at(clock) },
      pourings,
    );

  it("count from the latest pouring of the same coffee and pair before the answer", () => {
    expect(since("09:12")).toBe(12);
    expect(since("09:30")).toBe(0);
    expect(since("09:41")).toBe(11);
    expect(since("09:41", 2)).toBe(21);
  });

  it("are not known without a pouring before it or a time of answering", () => {
    expect(since("08:59")).toBeNull();
    expect(since("09:41", 1, "c2")).toBeNull();
    expect(since(null)).toBeNull();
    expect(minutesSincePouring({ coffeeId: "c1", pair: 1 }, pourings)).toBeNull();
  });
});

describe("A time of day", () => {
  it.each([
    ["14:05", "14:07", 0, "2026-03-02T14:05:00.000Z"],
    ["9.05", "09:00", 0, "2026-03-02T09:05:00.000Z"],
    // Two hours east of Greenwich, clocks show 16:05 at 14:05 UTC.
    [" 16:05 ", "14:07", -120, "2026-03-02T14:05:00.000Z"],
    ["09:05", "14:07", 300, "2026-03-02T14:05:00.000Z"],
    ["23:58", "00:03", 0, "2026-03-01T23:58:00.000Z"],
    ["00:03", "23:58", 0, "2026-03-03T00:03:00.000Z"],
  ])("%s near %s UTC is read as one instant", (time, near, offset, moment) => {
    expect(nearestMoment(time, at(near), offset)).toBe(moment);
  });

  it.each(["", "soon", "24:00", "12:60", "1405"])("%j is none", (time) => {
    expect(nearestMoment(time, at("14:07"), 0)).toBeNull();
  });
});
