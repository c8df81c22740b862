import { describe, expect, it } from "vitest";
import { analyse } from "../../src/report/analysis.ts";
import { brewChart, endpointChart } from "../../src/report/charts.ts";
import {
  brighter,
  evidenceOf,
  extractionYield,
  pick,
  planFor,
  pots,
  scored,
  seats,
  sweetness,
  triad,
  triangle,
} from "./sessions.ts";

describe("an endpoint's chart data", () => {
  const plan = planFor([brighter], ["Sallow", "Petrel"], { tasters: 10 });
  const ballots = ["c1", "c2"].flatMap((coffee) =>
    seats(10).map((seat, t) => pick(t < (coffee === "c1" ? 9 : 4) ? "B" : "A", { seat, coffee })),
  );
  const [finding] = analyse(evidenceOf(plan, ballots)).endpoints;
  if (!finding) throw new Error("no endpoint");
  const chart = endpointChart(finding);

  it("has all coffees together first, then each", () => {
    expect(chart.rows.map(({ name, answers }) => [name, answers])).toEqual([
      [null, 20],
      ["Sallow", 10],
      ["Petrel", 10],
    ]);
  });

  it("has one row where there is one coffee, by its name", () => {
    const single = evidenceOf(
      planFor([brighter], ["Sallow"], { tasters: 10 }),
      ballots.slice(0, 10),
    );
    const [one] = analyse(single).endpoints;
    if (!one) throw new Error("no endpoint");
    const { rows } = endpointChart(one);
    expect(rows.map(({ coffeeId, name, answers }) => [coffeeId, name, answers])).toEqual([
      ["c1", "Sallow", 10],
    ]);
    expect(rows[0]).toMatchObject({ estimate: one.estimate?.value, lower: one.estimate?.lower });
  });

  it("carries each estimate with its interval on the scale of the margin", () => {
    expect(chart.rows.map(({ estimate }) => estimate?.toFixed(2))).toEqual([
      "0.30",
      "0.80",
      "-0.20",
    ]);
    expect(chart.marginBand).toEqual({ lower: -0.3, upper: 0.3 });
    for (const row of chart.rows) {
      expect(row.lower).toBeLessThan(row.estimate ?? Number.NaN);
      expect(row.upper).toBeGreaterThan(row.estimate ?? Number.NaN);
    }
  });

  it("marks a coffee that leans the other way", () => {
    expect(chart.rows.map(({ goesOtherWay }) => goesOtherWay)).toEqual([false, false, true]);
  });

  it("puts tasters on the same scale", () => {
    // The first taster picked B on both coffees, the fifth only on one, the tenth on none.
    const value = (seat: string) => chart.tasters.find(({ seatId }) => seatId === seat)?.value;
    expect([value("t01"), value("t05"), value("t10")]).toEqual([1, 0, -1]);
    expect(chart.axis).toEqual({ minimum: -1, maximum: 1 });
  });

  it("shows no point for a taster's single right or wrong answer", () => {
    const single = evidenceOf(
      planFor([triangle]),
      seats(6).map((seat) => triad(true, { seat })),
    );
    const [one] = analyse(single).endpoints;
    if (!one) throw new Error("no endpoint");
    expect(endpointChart(one)).toMatchObject({ tasters: [], axis: { minimum: 0, maximum: 1 } });
  });

  it("gives scores an axis around 0 that holds everything drawn", () => {
    const plan = planFor([sweetness], ["Bramble"], { tasters: 4 });
    const tests = seats(4).map((seat, t) => scored(50, 50 + 10 * t, { seat }));
    const [one] = analyse(evidenceOf(plan, tests)).endpoints;
    if (!one) throw new Error("no endpoint");
    const { axis, tasters } = endpointChart(one);
    expect(tasters.map(({ value }) => value)).toEqual([0, 10, 20, 30]);
    expect(axis.minimum).toBe(-axis.maximum);
    expect(axis.maximum).toBeGreaterThan(35.5);
  });

  it("has empty rows, not false ones, where nobody answered", () => {
    const [one] = analyse(evidenceOf(planFor([triangle]), [])).endpoints;
    if (!one) throw new Error("no endpoint");
    expect(endpointChart(one).rows[0]).toMatchObject({ answers: 0, estimate: null, lower: null });
  });
});

describe("the extraction and strength chart", () => {
  it("has both arms, with the yield's uncertainty", () => {
    const plan = planFor([triangle, extractionYield]);
    const findings = analyse(evidenceOf(plan, [], pots({ yieldA: 19, yieldB: 21 })));
    const points = brewChart(findings);
    expect(points.map(({ treatment }) => treatment)).toEqual(["A", "B"]);
    expect(points[0]?.extractionPercent).toBeCloseTo(19, 12);
    expect(points[1]?.coffeeTdsPercent).toBeCloseTo(21 / 16, 12);
    expect(points[0]?.standardUncertainty).toBeGreaterThan(0);
  });

  it("leaves out a pot whose log can't be true: minerals above the reading", () => {
    const plan = planFor([triangle, extractionYield]);
    plan.treatments.B.mineralsInReadingMilligramsPerLitre = 5000;
    const [a, b] = pots({ yieldA: 19, yieldB: 21 });
    if (!a || !b?.brew) throw new Error("no pots");
    const weak = { ...b, brew: { ...b.brew, tdsReadingsPercent: [0.3] } };
    expect(
      brewChart(analyse(evidenceOf(plan, [], [a, weak]))).map(({ treatment }) => treatment),
    ).toEqual(["A"]);
  });
});
