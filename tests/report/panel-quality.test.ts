import { describe, expect, it } from "vitest";
import { analyse } from "../../src/report/analysis.ts";
import { panelQuality } from "../../src/report/panel-quality.ts";
import { tasterMarks } from "../../src/report/taster-marks.ts";
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

describe("Time on the screen", () => {
  const timed = (seconds: readonly (number | null)[], seat = "t1") =>
    seconds.map((secondsOnScreen) => ({ ...triad(true, { seat }), secondsOnScreen }));

  it("is the median and the quartiles, type 7 as R's quantile() has them by default", () => {
    // quantile(c(3, 6, 7, 8, 8, 10, 13, 15, 16, 20)) in R: 3.00 7.25 9.00 14.50 20.00.
    const { time } = panelQuality(
      { endpoints: [triangle] },
      timed([20, 3, 7, 8, 6, 8, 10, 13, 16, 15]),
    );
    expect(time).toMatchObject({
      ballots: 10,
      lowerQuartileSeconds: 7.25,
      medianSeconds: 9,
      upperQuartileSeconds: 14.5,
    });
  });

  it("names the taster with the shortest median, not the one with one quick ballot", () => {
    const ballots = [...timed([2, 40, 42], "slow"), ...timed([9, 10, 11], "quick")];
    expect(panelQuality({ endpoints: [triangle] }, ballots).time?.quickest).toEqual({
      seatId: "quick",
      ballots: 3,
      medianSeconds: 10,
    });
  });

  it("is left out where no phone said, and counts only the ballots that say", () => {
    expect(panelQuality({ endpoints: [triangle] }, timed([null, null])).time).toBeNull();
    expect(panelQuality({ endpoints: [triangle] }, timed([null, 12])).time?.ballots).toBe(1);
  });
});

describe("Rest between sets", () => {
  const rested = (seconds: readonly (number | null)[], first = 1) =>
    seconds.map((secondsRested, at) => ({
      ...triad(true, { seat: "t1" }),
      ordinal: first + at,
      secondsRested,
    }));
  const asking = (palateRestSeconds: number) => ({
    endpoints: [triangle],
    serving: { palateRestSeconds },
  });
  const worded = (ballots: Parameters<typeof evidenceOf>[1]) => {
    const plan = planFor([triangle], ["Bramble"], { serving: { palateRestSeconds: 45 } });
    return wordReport(analyse(evidenceOf(plan, ballots)), plan).panel;
  };

  it("is held against what the plan asks; a rest just as long is no less", () => {
    const { rest } = panelQuality(asking(45), rested([null, 44, 45, 80, null]));
    expect(rest).toEqual({
      plannedSeconds: 45,
      ballots: 3,
      notKnown: 1,
      medianSeconds: 45,
      shorter: 1,
    });
  });

  it("is none where the plan asks for none, whatever phones say", () => {
    expect(panelQuality({ endpoints: [triangle] }, rested([10, 20])).rest).toBeNull();
    expect(panelQuality(asking(0), rested([10, 20])).rest).toBeNull();
  });

  it("is told with its median and with what is not known", () => {
    expect(worded(rested([null, 20, 60, 70, null]))).toContain(
      "The plan asks for 45 s of rest between sets: 1 of 3 ballots with a known rest came after less; the median was 60 s. For 1 later ballot no rest is known.",
    );
    expect(worded(rested([null, null]))).toContain(
      "The plan asks for 45 s of rest between sets; how long tasters rested is not known, since no phone counted it.",
    );
  });
});

describe("Agreement of repeats", () => {
  it("compares each answer with the same taster's before on the same two pots", () => {
    const ballots = [
      pick("A", { seat: "t1" }),
      pick("A", { seat: "t1" }),
      pick("B", { seat: "t1" }),
      pick("B", { seat: "t2" }),
      pick("B", { seat: "t2" }),
      pick("A", { seat: "t3" }),
      pick("A", { seat: "t2", pair: 2 }),
    ];
    // A A B: one of two agrees; B B: one of one. Guessing agrees half the time.
    expect(panelQuality({ endpoints: [brighter] }, ballots).repeats).toEqual([
      {
        endpointId: "e1",
        compared: 3,
        tasters: 2,
        agreed: 2,
        agreedByGuessing: 1.5,
        meanAbsoluteChange: null,
      },
    ]);
  });

  it("agrees by guessing five times in nine on triangles", () => {
    // Both right (1/3)² or both wrong (2/3)²: 1/9 + 4/9.
    const ballots = seats(9).flatMap((seat) => [triad(true, { seat }), triad(false, { seat })]);
    const [repeat] = panelQuality({ endpoints: [triangle] }, ballots).repeats;
    expect(repeat?.agreed).toBe(0);
    expect(repeat?.agreedByGuessing).toBeCloseTo(5, 12);
  });

  it("is the mean change of the scored difference for scores", () => {
    const ballots = [
      scored(40, 50, { seat: "t1" }),
      scored(40, 46, { seat: "t1" }),
      scored(10, 10, { seat: "t2" }),
      scored(20, 12, { seat: "t2" }),
    ];
    expect(panelQuality({ endpoints: [sweetness] }, ballots).repeats[0]?.meanAbsoluteChange).toBe(
      6,
    );
  });

  it("leaves controls out, and says nothing where nobody repeated", () => {
    const ballots = [
      pick("A", { seat: "t1" }),
      pick(1, { seat: "t1", control: "same-pot" }),
      pick("A", { seat: "t2" }),
    ];
    expect(panelQuality({ endpoints: [brighter] }, ballots).repeats).toEqual([]);
  });
});

describe("How the panel answered, in words", () => {
  const wordsFor = (ballots: Parameters<typeof evidenceOf>[1]) => {
    const plan = planFor([brighter]);
    return wordReport(analyse(evidenceOf(plan, ballots)), plan).panel;
  };

  it("gives time and agreement with what guessing would give", () => {
    const ballots = seats(4).flatMap((seat) =>
      (["A", "B", "B"] as const).map((treatment) => ({
        ...pick(treatment, { seat }),
        secondsOnScreen: 20,
      })),
    );
    expect(wordsFor(ballots)).toEqual([
      "A set was on the screen for 20 s at the median, half of them between 20 s and 20 s (12 ballots with a time). The quickest taster took 20 s, over 3 ballots.",
      "Which has more brightness? 4 tasters answered again about the same two pots: 4 of 8 repeats agreed with the answer before; if everyone guessed, 4 would.",
      "Nobody stayed at one place oftener than luck brings to anyone on a panel.",
    ]);
  });

  it("says what is not known when nobody answered twice", () => {
    expect(wordsFor(seats(3).map((seat) => pick("A", { seat })))).toContain(
      "Nobody answered twice about the same two pots, so nothing says how steady a taster is.",
    );
  });

  it("counts who never left one place", () => {
    const stuck = Array.from({ length: 20 }, () => pick(1, { seat: "t01" }));
    const others = seats(4)
      .slice(1)
      .flatMap((seat) => [pick("A", { seat }), pick("A", { seat })]);
    expect(wordsFor([...stuck, ...others]).at(-1)).toBe(
      "1 taster stayed at one place oftener than luck brings to anyone on a panel; their answers count.",
    );
  });
});

describe("Tasters as points of a plot", () => {
  const axis = { minimum: -1, maximum: 1 };
  const at = (values: readonly number[]) => values.map((value, i) => ({ seatId: `t${i}`, value }));

  it("put those of one value together", () => {
    expect(tasterMarks({ axis, tasters: at([0.5, -0.5, 0.5]) })).toEqual([
      { value: 0.5, tasters: 2 },
      { value: -0.5, tasters: 1 },
    ]);
  });

  it("are never more than 120, lose nobody, and stay within half a place of the truth", () => {
    const values = Array.from({ length: 10_000 }, (_, i) => Math.sin(i));
    const marks = tasterMarks({ axis, tasters: at(values) });
    expect(marks.length).toBeLessThanOrEqual(121);
    expect(marks.reduce((sum, { tasters }) => sum + tasters, 0)).toBe(10_000);
    const nearest = (value: number) =>
      Math.min(...marks.map((mark) => Math.abs(mark.value - value)));
    expect(Math.max(...values.slice(0, 500).map(nearest))).toBeLessThanOrEqual(1 / 120 + 1e-12);
  });

  it("are none where nobody is", () => {
    expect(tasterMarks({ axis, tasters: [] })).toEqual([]);
  });
});
