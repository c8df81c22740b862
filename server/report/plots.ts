import * as Plot from "@observablehq/plot";
import type { ChartRow, EndpointChart } from "../../src/report/charts.ts";
import type { Unit } from "../../src/report/finding-parts.ts";
import { tasterMarks } from "../../src/report/taster-marks.ts";
import { draw, shortName, sideNames } from "../drawing.ts";

/** Room for a row's name, its line and the tasters' points under it, in the drawing's units. */
const ROW_HEIGHT = 44;

/** Names of the two treatments, A first. */
export interface TreatmentNames {
  A: string;
  B: string;
}

/**
 * One question as SVG text: a row for all coffees and one for each, estimate with interval, the band
 * that doesn't matter, tasters as faint points. Colours come from the page's style sheet.
 */
export function endpointPlot(chart: EndpointChart, names: TreatmentNames, label: string): string {
  const { minimum, maximum } = chart.axis;
  const within = (value: number) => Math.min(maximum, Math.max(minimum, value));
  const rows = chart.rows.map((row) => ({ ...row, place: rowName(row) }));
  const drawn = rows.flatMap((row) =>
    row.estimate === null
      ? []
      : [
          {
            place: row.place,
            value: within(row.estimate),
            lower: within(row.lower ?? row.estimate),
            upper: within(row.upper ?? row.estimate),
            overall: row.coffeeId === null,
          },
        ],
  );
  const band = [{ x1: within(chart.marginBand.lower), x2: within(chart.marginBand.upper) }];
  const marks = tasterMarks(chart);
  const most = Math.max(...marks.map(({ tasters }) => tasters));
  const tasters = marks.map((mark) => ({
    value: within(mark.value),
    place: rows[0]?.place ?? "",
    radius: 3 + 4 * Math.sqrt((mark.tasters - 1) / most),
  }));
  return draw(label, {
    height: 88 + ROW_HEIGHT * rows.length,
    marginLeft: 34,
    marginRight: 34,
    marginTop: 4,
    marginBottom: 76,
    x: {
      domain: [minimum, maximum],
      label: null,
      ticks: 5,
      ...(isShare(chart.unit) ? { tickFormat: shareTick } : {}),
    },
    y: { domain: rows.map((row) => row.place), axis: null },
    r: { type: "identity" },
    marks: [
      Plot.rect(band, { x1: "x1", x2: "x2", fill: "var(--band)" }),
      Plot.ruleX([0], { stroke: "currentColor", strokeOpacity: 0.6 }),
      // Above its line a name has room, however long it is and however narrow the phone.
      Plot.text(rows, {
        y: "place",
        text: "place",
        frameAnchor: "left",
        textAnchor: "start",
        dx: 4,
        dy: -14,
      }),
      ...sideNames(sidesOf(chart.unit, names)),
      Plot.dot(tasters, {
        x: "value",
        y: "place",
        r: "radius",
        dy: 13,
        fill: "currentColor",
        fillOpacity: 0.25,
      }),
      Plot.link(drawn, {
        x1: "lower",
        x2: "upper",
        y1: "place",
        y2: "place",
        stroke: "var(--estimate)",
        strokeWidth: 2.5,
      }),
      Plot.dot(drawn, {
        x: "value",
        y: "place",
        r: 6,
        symbol: (row: { overall: boolean }) => (row.overall ? "diamond" : "circle"),
        fill: "var(--estimate)",
      }),
    ],
  });
}

/** The row's name: all coffees together, or the coffee. */
export function rowName(row: ChartRow): string {
  return row.name ?? "All coffees";
}

/** What lies to the left and to the right of the middle, or what the axis counts. */
function sidesOf(unit: Unit, names: TreatmentNames): [string, string] {
  switch (unit) {
    case "distinguishers":
      return ["", "people who can tell the cups apart →"];
    case "lean":
      return [`← ${shortName(names.A)} picked more`, `${shortName(names.B)} picked more →`];
    case "lean-of-three":
      return [`← more in ${shortName(names.A)}`, `more in ${shortName(names.B)} →`];
    case "scale-points":
      return [`← ${shortName(names.A)} higher`, `${shortName(names.B)} higher →`];
    case "yield-points":
      return [`← ${shortName(names.A)} extracts more`, `${shortName(names.B)} extracts more →`];
  }
}

const isShare = (unit: Unit) => unit !== "scale-points" && unit !== "yield-points";

function shareTick(value: number): string {
  const percent = Math.round(value * 100);
  return `${percent < 0 ? "−" : ""}${Math.abs(percent)} %`;
}
