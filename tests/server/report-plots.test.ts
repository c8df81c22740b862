import { readFileSync } from "node:fs";
import Handlebars from "handlebars";
import { describe, expect, it } from "vitest";
import { endpointPlot } from "../../server/report/plots.ts";
import { plotTable, valueText } from "../../server/report/report-numbers.ts";
import { analyse } from "../../src/report/analysis.ts";
import { endpointChart } from "../../src/report/charts.ts";
import { evidenceOf, planFor, seats, triad, triangle } from "../report/sessions.ts";

const names = { A: "Tank", B: "Pot" };

describe("a triangle that came out worse than guessing", () => {
  // One right of twelve: (1/12 − 1/3) / (2/3) = −37.5 % who can tell.
  const ballots = seats(12).map((seat, t) => triad(t < 1, { seat }));
  const [finding] = analyse(evidenceOf(planFor([triangle]), ballots)).endpoints;
  if (!finding) throw new Error("no endpoint");
  const chart = endpointChart(finding);
  const svg = endpointPlot(chart, names, "label");

  it("keeps the raw share in its data", () => {
    expect(chart.rows[0]?.estimate).toBeCloseTo(-0.375, 12);
  });

  it("is 0 % in the plot as in the table, and says so", () => {
    expect(plotTable(chart)[0]?.estimate).toBe("0 %");
    expect(svg).toContain(">0 %<");
    expect(svg).not.toMatch(/−\d+ %/);
    const caption = Handlebars.compile(
      readFileSync("templates/partials/report/figure.hbs", "utf8"),
    );
    expect(caption({ plot: svg, table: plotTable(chart), distinguishers: true })).toContain(
      "A share of people who can tell that comes out below 0 is shown as 0.",
    );
  });
});

describe("a lean in the report", () => {
  it.each([
    [0.5, "+50 %"],
    [1.08, "+100 %"],
    [-1.2, "−100 %"],
  ])("%f reads %s, never beyond everyone", (value, text) => {
    expect(valueText(value, "lean")).toBe(text);
  });
});
