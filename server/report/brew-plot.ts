import * as Plot from "@observablehq/plot";
import { idealBox } from "../../src/brew/control-chart.ts";
import type { BrewPoint } from "../../src/report/charts.ts";
import { type LabelSize, labelPlaces } from "../../src/report/label-places.ts";
import { DRAWING_WIDTH, draw } from "../drawing.ts";
import type { TreatmentNames } from "./plots.ts";

const HEIGHT = 420;
const MARGIN = { left: 60, right: 20, top: 36, bottom: 56 };
/** Of a mark and of a pot's letter in the larger type of a phone, in the drawing's units. */
const RADIUS = 6;
const LETTER: LabelSize = { width: 15, height: 16 };

/**
 * Strength over extraction of every pot, with the published ideal box; both treatments apart by
 * shape. A pot has its letter where that runs over no other; the table has them all.
 */
export function brewPlot(
  points: readonly BrewPoint[],
  names: TreatmentNames,
  label: string,
): string {
  const { extractionPercent, tdsPercent } = idealBox;
  const x = span(
    points.map((point) => point.extractionPercent),
    extractionPercent,
  );
  const y = span(
    points.map((point) => point.coffeeTdsPercent),
    tdsPercent,
  );
  const dots = points.map((point) => ({
    extraction: point.extractionPercent,
    strength: point.coffeeTdsPercent,
    treatment: names[point.treatment],
  }));
  const box = [
    {
      x1: extractionPercent.lower,
      x2: extractionPercent.upper,
      y1: tdsPercent.lower,
      y2: tdsPercent.upper,
    },
  ];
  return draw(label, {
    height: HEIGHT,
    marginLeft: MARGIN.left,
    marginRight: MARGIN.right,
    marginBottom: MARGIN.bottom,
    marginTop: MARGIN.top,
    grid: true,
    x: { ticks: 6, labelOffset: 50, label: "extraction yield, % →", domain: x },
    y: { label: "↑ strength, % coffee solids", domain: y },
    symbol: { domain: [names.A, names.B], range: ["circle", "triangle"] },
    color: { domain: [names.A, names.B], range: ["var(--treatment-a)", "var(--treatment-b)"] },
    marks: [
      Plot.rect(box, {
        x1: "x1",
        x2: "x2",
        y1: "y1",
        y2: "y2",
        fill: "var(--band)",
        stroke: "currentColor",
        strokeOpacity: 0.4,
      }),
      Plot.dot(dots, {
        x: "extraction",
        y: "strength",
        symbol: "treatment",
        fill: "treatment",
        r: RADIUS,
      }),
      ...letters(points, x, y),
    ],
  });
}

/** One mark a letter that has room, since each lies to another side of its dot. */
function letters(
  points: readonly BrewPoint[],
  [least, most]: readonly [number, number],
  [weakest, strongest]: readonly [number, number],
): Plot.Markish[] {
  const wide = DRAWING_WIDTH - MARGIN.left - MARGIN.right;
  const high = HEIGHT - MARGIN.top - MARGIN.bottom;
  const places = labelPlaces(
    points.map((point) => ({
      x: (wide * (point.extractionPercent - least)) / (most - least),
      y: (high * (strongest - point.coffeeTdsPercent)) / (strongest - weakest),
    })),
    RADIUS,
    LETTER,
  );
  return points.flatMap((point, at) => {
    const place = places[at];
    if (!place) return [];
    const { extractionPercent, coffeeTdsPercent, potLetter } = point;
    const dot = [{ x: extractionPercent, y: coffeeTdsPercent, text: potLetter }];
    return [Plot.text(dot, { x: "x", y: "y", text: "text", dx: place.x, dy: place.y })];
  });
}

/** The data with the box around or beside it, and a little room. */
function span(values: readonly number[], box: { lower: number; upper: number }): [number, number] {
  const least = Math.min(box.lower, ...values);
  const most = Math.max(box.upper, ...values);
  const room = 0.06 * (most - least);
  return [least - room, most + room];
}
