import * as Plot from "@observablehq/plot";
import type { Unit } from "../../src/report/finding-parts.ts";
import type { Combined, CombinedStudy } from "../../src/report/synthesis/combine.ts";
import { draw, shortName, sideNames } from "../drawing.ts";

/** The two sides of a comparison, in words. */
export interface Sides {
  towards: string;
  against: string;
}

/**
 * A forest plot as SVG text: a square a session, as large as its weight, with its interval; the
 * average as a diamond; where a new session is expected as a thin bar under it.
 */
export function forestPlot(combined: Combined, sides: Sides, label: string): string {
  const { unit, studies, pooled, prediction } = combined;
  const rows = studies.map((study, i) => ({ ...onAxis(study, unit), place: placeOf(study, i) }));
  const average =
    pooled === null || studies.length < 2 ? [] : [{ ...onAxis(pooled, unit), place: AVERAGE }];
  const expected =
    prediction === null
      ? []
      : [
          {
            lower: onePoint(prediction.lower, unit),
            upper: onePoint(prediction.upper, unit),
            place: EXPECTED,
          },
        ];
  const places = [...rows, ...average, ...expected].map(({ place }) => place);
  return draw(label, {
    height: 88 + 44 * places.length,
    marginLeft: 34,
    marginRight: 34,
    marginTop: 4,
    marginBottom: 76,
    x: { domain: axisDomain(unit, [...rows, ...average, ...expected]), label: null, ticks: 5 },
    y: { domain: places, axis: null },
    marks: [
      Plot.ruleX([unit === "lean" ? 50 : 0], { stroke: "currentColor", strokeOpacity: 0.6 }),
      Plot.text(places, {
        y: (place: string) => place,
        text: (place: string) => place,
        frameAnchor: "left",
        textAnchor: "start",
        dx: 4,
        dy: -17,
      }),
      ...sideNames(sidesOf(unit, sides)),
      Plot.link([...rows, ...average, ...expected], {
        x1: "lower",
        x2: "upper",
        y1: "place",
        y2: "place",
        stroke: "var(--estimate)",
        strokeWidth: ({ place }: { place: string }) => (place === EXPECTED ? 6 : 2.5),
        strokeOpacity: ({ place }: { place: string }) => (place === EXPECTED ? 0.45 : 1),
      }),
      Plot.dot(rows, {
        x: "value",
        y: "place",
        r: ({ weightPercent }: CombinedStudy) => 3 + Math.sqrt(weightPercent) * 0.6,
        symbol: "square",
        fill: "var(--estimate)",
      }),
      Plot.dot(average, {
        x: "value",
        y: "place",
        r: 8,
        symbol: "diamond",
        fill: "var(--estimate)",
      }),
    ],
    r: { type: "identity" },
  });
}

const AVERAGE = "Average";
const EXPECTED = "A new session";
const LONGEST_LABEL = 48;

/** Numbered, since two sessions may have one name; shortened to the drawing, whole in the table. */
function placeOf({ label }: CombinedStudy, index: number): string {
  return `${index + 1}. ${shortName(label, LONGEST_LABEL)}`;
}

/** In 100 people or picks, or in points; shares below 0 are drawn at 0. */
function onePoint(value: number, unit: Unit): number {
  if (unit === "lean") return 50 * (1 + value);
  if (unit === "lean-of-three") return 100 * value;
  return unit === "distinguishers" ? 100 * Math.max(0, value) : value;
}

function onAxis<T extends { value: number; lower: number; upper: number }>(
  shown: T,
  unit: Unit,
): T {
  return {
    ...shown,
    value: onePoint(shown.value, unit),
    lower: onePoint(shown.lower, unit),
    upper: onePoint(shown.upper, unit),
  };
}

function axisDomain(
  unit: Unit,
  rows: readonly { lower: number; upper: number }[],
): [number, number] {
  if (unit === "lean" || unit === "distinguishers") return [0, 100];
  if (unit === "lean-of-three") return [-100, 100];
  const reach = 1.05 * Math.max(...rows.flatMap(({ lower, upper }) => [-lower, upper, 0.1]));
  return [-reach, reach];
}

function sidesOf(unit: Unit, sides: Sides): [string, string] {
  const [towards, against] = [shortName(sides.towards), shortName(sides.against)];
  switch (unit) {
    case "distinguishers":
      return ["", "people in 100 who can tell them apart →"];
    case "lean":
      return [`← ${against} picked more`, `${towards} picked more →`];
    case "lean-of-three":
      return [`← more in ${against}`, `people in 100 who find more in ${towards} →`];
    case "scale-points":
      return [`← ${against} higher`, `${towards} higher →`];
    case "yield-points":
      return [`← ${against} extracts more`, `${towards} extracts more →`];
  }
}
