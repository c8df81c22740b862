import { describe, expect, it } from "vitest";
import { analyse, leadingReading } from "../../src/report/analysis.ts";
import type { Evidence, MixUp, UnblindedBallot } from "../../src/report/evidence.ts";
import { withCodesExchanged } from "../../src/report/mix-ups.ts";
import { sessionAnswers } from "../../src/report/synthesis/session-answers.ts";
import { wordReport } from "../../src/report/wording.ts";
import {
  brighter,
  evidenceOf,
  pick,
  planFor,
  scored,
  seats,
  sweetness,
  triad,
  triangle,
} from "./sessions.ts";

const codesOf = (ballot: UnblindedBallot, ...positions: [number, number]): [string, string] => {
  const code = (at: number) => ballot.cups.find(({ position }) => position === at)?.code ?? "";
  return [code(positions[0]), code(positions[1])];
};

function withMixUp(
  evidence: Evidence,
  ballot: UnblindedBallot | undefined,
  positions: [number, number],
  resolution: MixUp["resolution"] = "corrected",
): Evidence {
  if (ballot === undefined) throw new Error("No ballot to mix up");
  const { seatId, ordinal } = ballot;
  return {
    ...evidence,
    mixUps: [{ seatId, ordinal, codes: codesOf(ballot, ...positions), resolution }],
  };
}

describe("Two codes exchanged on a tray", () => {
  it("take pot and treatment with them, and the odd cup of a triangle", () => {
    const ballot = triad(true, { seat: "t01" });
    const odd = ballot.oddPosition ?? 0;
    const other = (odd % 3) + 1;
    const exchanged = withCodesExchanged(ballot, codesOf(ballot, odd, other));
    expect(exchanged.oddPosition).toBe(other);
    const held = (of: UnblindedBallot, at: number) => {
      const cup = of.cups.find(({ position }) => position === at);
      return [cup?.potLetter, cup?.treatment];
    };
    expect(held(exchanged, other)).toEqual(held(ballot, odd));
    expect(held(exchanged, odd)).toEqual(held(ballot, other));
    expect(exchanged.cups.map(({ code }) => code)).toEqual(ballot.cups.map(({ code }) => code));
    expect(withCodesExchanged(exchanged, codesOf(ballot, odd, other))).toEqual(ballot);
  });

  it("change nothing between two cups of one pot", () => {
    const ballot = triad(true, { seat: "t01" });
    const odd = ballot.oddPosition ?? 0;
    const alike: [number, number] = [(odd % 3) + 1, ((odd + 1) % 3) + 1];
    expect(withCodesExchanged(ballot, codesOf(ballot, ...alike))).toEqual(ballot);
    const control = triad(true, { seat: "t01", control: "same-pot" });
    expect(withCodesExchanged(control, codesOf(control, 1, 2))).toEqual(control);
  });

  it("turn a score's difference around", () => {
    const plan = planFor([sweetness]);
    const ballots = seats(3).map((seat) => scored(20, 50, { seat }));
    const evidence = withMixUp(evidenceOf(plan, ballots), ballots[0], [1, 2]);
    const corrected = analyse(evidence).mixUps?.readings.find(
      ({ reading }) => reading === "corrected",
    );
    expect(corrected?.endpoints[0]?.counts.answers).toBe(3);
    expect(analyse(evidence).mixUps?.leads).toBe("corrected");
  });
});

describe("The weakest reading of a mixed-up tray leads", () => {
  // Nine of twelve triangles: p = 0.0039; eight of twelve 0.0188; eight of eleven 0.0088.
  const ballots = seats(12).map((seat, at) => triad(at < 9, { seat }));
  const plan = planFor([triangle]);

  it("the corrected one, when the mix-up had made an answer right", () => {
    const [first] = ballots;
    const odd = first?.oddPosition ?? 0;
    const evidence = withMixUp(evidenceOf(plan, ballots), first, [odd, (odd % 3) + 1]);
    const { mixUps, endpoints } = analyse(evidence);
    expect(mixUps?.leads).toBe("corrected");
    expect(endpoints[0]?.counts).toMatchObject({ answers: 12, correct: 8 });
    expect(
      mixUps?.readings.map(({ endpoints: [one] }) => [one?.counts.correct, one?.counts.answers]),
    ).toEqual([
      [9, 12],
      [8, 12],
      [8, 11],
    ]);
  });

  it("the one as scored, when the correction would make an answer right", () => {
    const wrong = ballots[10];
    const chosen = wrong?.cups.find(({ code }) => {
      const answer = wrong.answers.e1;
      return answer !== undefined && "chosen" in answer && answer.chosen === code;
    });
    const places: [number, number] = [wrong?.oddPosition ?? 0, chosen?.position ?? 0];
    const { mixUps, endpoints } = analyse(withMixUp(evidenceOf(plan, ballots), wrong, places));
    expect(mixUps?.leads).toBe("as-scored");
    expect(endpoints[0]?.counts).toMatchObject({ answers: 12, correct: 9 });
    expect(mixUps?.readings[1]?.endpoints[0]?.counts.correct).toBe(10);
  });

  it("in evidence over sessions too: what is combined is what the report rests on", () => {
    const [first] = ballots;
    const odd = first?.oddPosition ?? 0;
    const plain = evidenceOf(plan, ballots);
    const mixed = withMixUp(plain, first, [odd, (odd % 3) + 1]);
    const rightIn = (evidence: Evidence) => {
      const as = { label: "s", swapped: false };
      const { observations } = sessionAnswers(leadingReading(evidence), triangle, as);
      return observations.filter(({ value }) => value === 1).length;
    };
    expect(rightIn(plain)).toBe(9);
    expect(rightIn(mixed)).toBe(8);
  });

  it("whatever was recorded for the set", () => {
    const [first] = ballots;
    const odd = first?.oddPosition ?? 0;
    const evidence = evidenceOf(
      plan,
      ballots.map((one) => (one === first ? { ...one, voidReason: "cups mixed up" } : one)),
    );
    const { mixUps } = analyse(withMixUp(evidence, first, [odd, (odd % 3) + 1], "voided"));
    expect(mixUps?.leads).toBe("corrected");
  });

  it("and a withdrawn answer stays out of all of them", () => {
    const [first] = ballots;
    const evidence = evidenceOf(
      plan,
      ballots.map((one) => (one === first ? { ...one, voidReason: "withdrawn" } : one)),
    );
    const { mixUps } = analyse(withMixUp(evidence, first, [1, 2]));
    expect(mixUps?.readings.map(({ endpoints: [one] }) => one?.counts.answers)).toEqual([
      11, 11, 11,
    ]);
  });

  it("one without an answer is no mix-up of the analysis", () => {
    const evidence = evidenceOf(plan, ballots);
    const absent: MixUp = {
      seatId: "t99",
      ordinal: 1,
      codes: ["101", "102"],
      resolution: "corrected",
    };
    expect(analyse({ ...evidence, mixUps: [absent] })).toEqual(analyse(evidence));
  });

  it("says all three in words, with their counts", () => {
    const picks = seats(10).map((seat, at) => pick(at < 8 ? "B" : "A", { seat }));
    const bright = planFor([brighter]);
    const { cautions } = wordReport(
      analyse(withMixUp(evidenceOf(bright, picks), picks[0], [1, 2])),
      bright,
    );
    expect(cautions[0]).toBe(
      "1 set had two cups exchanged, noticed before the key was opened. The session was analysed three times, and the weakest leads: with the exchanged codes corrected.",
    );
    expect(cautions.map((text) => text.charAt(0))).toEqual(
      cautions.map((text) => text.charAt(0).toUpperCase()),
    );
    // Twice P(X ≥ 8 | 10), P(X ≥ 7 | 10), P(X ≥ 7 | 9): 112, 352 of 1024 and 92 of 512.
    expect(cautions[1]).toMatch(/8 of 10, p = 0\.109.*7 of 10, p = 0\.344.*7 of 9, p = 0\.180/);
  });
});
