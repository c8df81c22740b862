import { describe, expect, it } from "vitest";
import { analyse } from "../../src/report/analysis.ts";
import type { EndpointFinding } from "../../src/report/endpoint-finding.ts";
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

/** Classic and published data entered as answers: the whole analysis gives the printed numbers. */

function scores(pairs: readonly (readonly [number, number])[]): EndpointFinding {
  const plan = planFor([sweetness], ["Bramble"], { tasters: pairs.length });
  const ballots = pairs.map(([a, b], t) => scored(a, b, { seat: seats(pairs.length)[t] ?? "" }));
  return only(analyse(evidenceOf(plan, ballots)).endpoints);
}

function only(endpoints: EndpointFinding[]): EndpointFinding {
  const [first] = endpoints;
  if (!first) throw new Error("no endpoint");
  return first;
}

describe("Student's sleep data (Cushny & Peebles; Student 1908, Biometrika 6; R help page sleep)", () => {
  // Hours of extra sleep in tenths, 20 added so that a scale from 0 holds them: 0.7 h is 27 points.
  const drugOne = [0.7, -1.6, -0.2, -1.2, -0.1, 3.4, 3.7, 0.8, 0, 2];
  const drugTwo = [1.9, 0.8, 1.1, 0.1, -0.1, 4.4, 5.5, 1.6, 4.6, 3.4];
  const point = (hours: number) => Math.round(10 * hours) + 20;
  const finding = scores(
    drugOne.map((hours, i) => [point(hours), point(drugTwo[i] ?? Number.NaN)]),
  );

  it("has a mean difference of 1.58 hours, 95 % from 0.7001142 to 2.4598858", () => {
    expect((finding.estimate?.value ?? 0) / 10).toBeCloseTo(1.58, 10);
    expect((finding.estimate?.lower ?? 0) / 10).toBeCloseTo(0.7001142, 7);
    expect((finding.estimate?.upper ?? 0) / 10).toBeCloseTo(2.4598858, 7);
  });

  it("has the paired t's p of 0.00283289 and the signed rank's exact 2/2^9", () => {
    expect(finding.companions.tPValue).toBeCloseTo(0.00283289019738427, 12);
    expect(finding.companions.signedRankPValue).toBe(2 / 2 ** 9);
  });

  it("decides by sign-flip: nine of one sign and a zero, p = 2/2^9", () => {
    expect(finding.difference.pValue).toBe(2 / 2 ** 9);
    expect(finding.state).toBe("difference");
  });

  it("has two-sided limits of 90 % at 0.866994732970717 and 2.29300526702928 hours", () => {
    expect((finding.margin.lowerLimit ?? 0) / 10).toBeCloseTo(0.866994732970717, 11);
    expect((finding.margin.upperLimit ?? 0) / 10).toBeCloseTo(2.29300526702928, 11);
  });
});

describe("Darwin's maize (Darwin 1876; Fisher 1935, The Design of Experiments, §§17, 21; from memory)", () => {
  // Height of the crossed plant less the self-fertilised one, in eighths of an inch.
  const eighths = [49, -67, 8, 16, 6, 23, 28, 41, 14, 29, 56, 24, 75, 60, -48];
  const finding = scores(eighths.map((d) => (d > 0 ? [0, d] : [-d, 0])));

  it("gives Fisher's exact randomisation: 1726 of 32768", () => {
    expect(finding.difference.pValue).toBe(1726 / 32768);
    expect(finding.difference.shown).toBe(false);
  });

  it("gives t's p of 0.0497 and the signed rank's 0.041259765625 beside it", () => {
    expect(finding.companions.tPValue).toBeCloseTo(0.0497029440218009, 12);
    expect(finding.companions.signedRankPValue).toBe(0.041259765625);
  });

  it("has a mean of 20.9333 eighths", () => {
    expect(finding.estimate?.value).toBeCloseTo(20.9333, 4);
  });
});

describe("published triangle tables", () => {
  const triangles = (n: number, right: number) => {
    const plan = planFor([triangle], ["Bramble"], { tasters: n });
    const ballots = seats(n).map((seat, t) => triad(t < right, { seat }));
    return only(analyse(evidenceOf(plan, ballots)).endpoints);
  };

  it.each([
    // FAO V7180E, Appendix A, 5 % column; layout of ISO 4120 Table A.1.
    [7, 5],
    [12, 8],
    [18, 10],
    [24, 13],
    [36, 18],
    [60, 27],
    [96, 41],
  ])("of %i triangles at least %i right show a difference", (n, critical) => {
    expect(triangles(n, critical).difference.criticalCount).toBe(critical);
    expect(triangles(n, critical).difference.shown).toBe(true);
    expect(triangles(n, critical - 1).difference.shown).toBe(false);
  });

  it("has p = 0.028 for 13 of 24, one less the printed 0.972 of twelve or fewer", () => {
    // A home-brewing club's article on triangle tests (2019) prints P(X ≤ 12 | 24) = 0.972.
    expect(triangles(24, 13).difference.pValue).toBeCloseTo(1 - 0.972, 3);
  });

  it.each([
    // ISO 4120:2004, maximum right for similarity at beta 5 %, pd 30 %.
    [30, 11],
    [54, 22],
    [60, 25],
  ])("of %i triangles at most %i right are within 30 %%", (n, most) => {
    expect(triangles(n, most).margin.within).toBe(true);
    expect(triangles(n, most + 1).margin.within).toBe(false);
  });

  it("transforms Clopper–Pearson: 24 of 60 right put the share who can tell at 10 %, −8.7 to 30.2", () => {
    const { estimate } = triangles(60, 24);
    expect(estimate?.value).toBeCloseTo(0.1, 12);
    expect(estimate?.lower).toBeCloseTo(-0.08656763189669762, 10);
    expect(estimate?.upper).toBeCloseTo(0.30189184403285846, 10);
  });
});

describe("published paired-comparison tables", () => {
  const picks = (n: number, ofB: number, expected: "B" | null) => {
    const endpoint = { ...brighter, expected };
    const plan = planFor([endpoint], ["Bramble"], { tasters: n });
    const ballots = seats(n).map((seat, t) => pick(t < ofB ? "B" : "A", { seat }));
    return only(analyse(evidenceOf(plan, ballots)).endpoints);
  };

  it.each([
    // ISO 5495 (Russian print, GOST 53161) Table A.1, one-sided 5 %: 12 of 16, 15 of 20.
    [16, 12],
    [20, 15],
  ])("one-sided, of %i answers at least %i as expected show it", (n, critical) => {
    expect(picks(n, critical, "B").difference).toMatchObject({
      criticalCount: critical,
      shown: true,
    });
    expect(picks(n, critical - 1, "B").difference.shown).toBe(false);
  });

  it("two-sided, 18 of 24 are needed, and 17 are not enough", () => {
    expect(picks(24, 18, null).difference).toMatchObject({ criticalCount: 18, shown: true });
    expect(picks(24, 17, null).difference.shown).toBe(false);
  });

  it("a lean against the expected side is never shown one-sided, however strong", () => {
    expect(picks(24, 1, "B").difference.shown).toBe(false);
  });
});
