import * as Plot from "@observablehq/plot";
import Handlebars from "handlebars";
import { idealBox, strengthOnRatioLine } from "../../src/brew/control-chart.ts";
import type { Plan } from "../../src/experiment/plan.ts";
import { coffeeName } from "../../src/experiment/plan.ts";
import { draw } from "../drawing.ts";
import type { PotOnLog } from "../store/brews.ts";
import { blindExtraction } from "./brew-pages.ts";

/** Liquid that spent grounds hold, g per g of coffee, for the ratio lines; 1.5 to 2.5 in print. */
const ABSORBED = 2;

interface ChartedPot {
  extraction: number;
  strength: number;
  label: string;
}

/**
 * The session's brewing control chart while it is blind: each pot by coffee and letter, the ideal box
 * and lines of equal brew ratio. Null until a pot is logged. Nothing tells treatments apart.
 */
export function brewControlChart(pots: readonly PotOnLog[], plan: Plan) {
  const charted = pots.flatMap((pot) => chartedPot(pot, plan));
  if (charted.length === 0) return null;
  const label = `Brewing control chart: ${charted.map((pot) => `${pot.label} ${pot.extraction.toFixed(1)} % extraction at ${pot.strength.toFixed(2)} %`).join("; ")}`;
  return {
    drawing: new Handlebars.SafeString(drawChart(charted, plan, label)),
    absorbed: ABSORBED,
  };
}

function chartedPot({ brew, coffeeId, letter }: PotOnLog, plan: Plan): ChartedPot[] {
  const result = brew === null ? null : blindExtraction(brew);
  if (!result?.ok) return [];
  const { extractionPercent: extraction, coffeeTdsPercent: strength } = result;
  return [{ extraction, strength, label: `${coffeeName(plan, coffeeId)} ${letter}` }];
}

/** Beyond this many pots their names would cover one another; the table above has them all. */
const MOST_NAMED = 12;

function drawChart(pots: readonly ChartedPot[], plan: Plan, label: string): string {
  const { extractionPercent, tdsPercent } = idealBox;
  const x = span(
    pots.map((pot) => pot.extraction),
    [16, 24],
  );
  const y = span(
    pots.map((pot) => pot.strength),
    [1.05, 1.45],
  );
  const box = {
    x1: extractionPercent.lower,
    x2: extractionPercent.upper,
    y1: tdsPercent.lower,
    y2: tdsPercent.upper,
  };
  const lines = ratioLines(plan, x, y);
  const place = { x: "extraction", y: "strength" } as const;
  return draw(label, {
    height: 440,
    marginLeft: 60,
    marginBottom: 56,
    marginTop: 36,
    grid: true,
    x: { label: "extraction yield, % →", domain: x, labelOffset: 50, ticks: 6 },
    y: { label: "↑ strength, % TDS", domain: y },
    marks: [
      Plot.rect([box], {
        x1: "x1",
        x2: "x2",
        y1: "y1",
        y2: "y2",
        fill: "var(--wash)",
        stroke: "currentColor",
        strokeOpacity: 0.4,
      }),
      Plot.line(lines, {
        ...place,
        z: "ratio",
        stroke: "currentColor",
        strokeOpacity: 0.35,
        clip: true,
      }),
      Plot.text(
        lines.filter((point) => point.end),
        { ...place, text: "ratio", dx: -26, dy: 10, fontSize: 11 },
      ),
      Plot.dot(pots, { ...place, r: 5, fill: "var(--accent)", fillOpacity: 0.7 }),
      Plot.text(pots.length > MOST_NAMED ? [] : pots, {
        ...place,
        text: "label",
        dy: -11,
        fontSize: 11,
      }),
    ],
  });
}

type Range = readonly [number, number];

/** Lines of equal ratio around the plan's own, in steps of one gram of water per gram of coffee. */
function ratioLines(plan: Plan, x: Range, y: Range) {
  const own = plan.recipe.brewWaterGrams / plan.recipe.doseGrams;
  return [-2, -1, 0, 1, 2].flatMap((step) => {
    const ratio = own + step;
    if (ratio <= ABSORBED) return [];
    // A line leaves the chart through its top or its right side, whichever comes first.
    const last = Math.min(x[1], y[1] * (ratio - ABSORBED));
    return [x[0], last].map((extraction) => ({
      extraction,
      strength: strengthOnRatioLine(extraction, ratio, ABSORBED),
      ratio: `1:${ratio.toFixed(1)}`,
      end: extraction === last,
    }));
  });
}

/** The usual range, wider where pots lie outside it. */
function span(values: readonly number[], usual: Range): [number, number] {
  return [Math.min(usual[0], ...values), Math.max(usual[1], ...values)];
}
