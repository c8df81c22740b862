import { describe, expect, it } from "vitest";
import type { Plan } from "../../src/experiment/plan.ts";
import { analyse } from "../../src/report/analysis.ts";
import type { Evidence, UnblindedBallot } from "../../src/report/evidence.ts";
import { wordReport } from "../../src/report/wording.ts";
import { evidenceOf, planFor, seats, triad, triangle } from "./sessions.ts";

const POURED = Date.parse("2026-03-02T09:00:00.000Z");
const after = (minutes: number) => new Date(POURED + minutes * 60_000).toISOString();
const pourings = ["c1", "c2"].map((coffeeId) => ({ coffeeId, pair: 1, pouredAt: after(0) }));

/** A triangle answered so many minutes after its cups were poured; null when nobody knows. */
const answered = (coffee: string, minutes: number | null, seat: string): UnblindedBallot => ({
  ...triad(true, { seat, coffee }),
  answeredAt: minutes === null ? null : after(minutes),
});

const evidence = (
  ballots: UnblindedBallot[],
  serving: Plan["serving"],
  more: Partial<Evidence> = {},
): Evidence => ({
  ...evidenceOf(planFor([triangle], ["Bramble", "Sallow"], { serving }), ballots),
  pourings,
  ...more,
});
const findings = (...given: Parameters<typeof evidence>) => analyse(evidence(...given)).serving;
const conduct = (...given: Parameters<typeof evidence>) => {
  const all = evidence(...given);
  return wordReport(analyse(all), all.plan).conduct;
};

const both = { servingFromMinutes: 5, windowMinutes: 20 };
const mixed = [
  answered("c1", 4, "t1"),
  answered("c1", 5, "t2"),
  answered("c1", 21, "t3"),
  answered("c2", 25, "t1"),
  answered("c2", 20, "t2"),
  answered("c2", null, "t3"),
];

describe("The serving window in the analysis", () => {
  it("counts what came before it opened and after it closed, by coffee, of what is known", () => {
    expect(findings(mixed, both)).toEqual({
      fromMinutes: 5,
      withinMinutes: 20,
      ballots: 5,
      notKnown: 1,
      tooEarly: 1,
      tooLate: 2,
      coffees: [
        { coffeeId: "c1", ballots: 3, tooEarly: 1, tooLate: 1 },
        { coffeeId: "c2", ballots: 2, tooEarly: 0, tooLate: 1 },
      ],
    });
  });

  it("looks only at ballots that count, and leaves none out", () => {
    const voided = mixed.map((ballot, at) => ({
      ...ballot,
      voidReason: at === 0 ? "taster unwell" : null,
    }));
    expect(findings(voided, both)).toMatchObject({ ballots: 4, tooEarly: 0, tooLate: 2 });
    const { conduct: counts } = analyse(evidence(mixed, both));
    expect(counts.ballotsCounted).toBe(6);
  });

  it("is no affair of a plan without one, nor of answers from elsewhere", () => {
    expect(findings(mixed, undefined)).toBeNull();
    expect(findings(mixed, { palateRestSeconds: 45 })).toBeNull();
    expect(findings(mixed, both, { origin: "imported" })).toBeNull();
  });
});

describe("The serving window in words", () => {
  it("names each coffee with what came too early and too late", () => {
    expect(conduct(mixed, both)).toContain(
      "Against the plan, 1 too early and 2 too late of 5 ballots with a known time of pouring came outside the serving window, between 5 and 20 min after pouring: Bramble 1 too early and 1 too late of 3 ballots and Sallow 0 too early and 1 too late of 2 ballots. They count; time alone leaves no answer out. Of 1 more ballot that is not known.",
    );
  });

  it("names one side only where the plan has one", () => {
    const late = [answered("c1", 30, "t1"), answered("c1", 1, "t2")];
    expect(conduct(late, { windowMinutes: 20 })).toContain(
      "Against the plan, 1 too late of 2 ballots with a known time of pouring came outside the serving window, within 20 min of pouring: Bramble 1 too late of 2 ballots. They count; time alone leaves no answer out.",
    );
    expect(conduct(late, { servingFromMinutes: 5 }).join(" ")).toContain(
      "1 too early of 2 ballots with a known time of pouring came outside the serving window, from 5 min after pouring on",
    );
  });

  it("says so when all came inside it, and when nobody recorded a pouring", () => {
    const good = seats(3).map((seat) => answered("c1", 10, seat));
    expect(conduct(good, both)).toContain(
      "All 3 ballots with a known time of pouring came inside the serving window, between 5 and 20 min after pouring.",
    );
    expect(conduct(good, both, { pourings: [] })).toContain(
      "The plan has cups tasted between 5 and 20 min after pouring; nobody recorded when they were poured, so nobody knows whether they were.",
    );
  });
});
