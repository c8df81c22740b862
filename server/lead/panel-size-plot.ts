import * as Plot from "@observablehq/plot";
import type { PanelForecast } from "../../src/report/planning/panel.ts";
import type { PanelDesign } from "../../src/report/planning/panel-test.ts";
import { draw } from "../drawing.ts";
import { chanceText, effectAxis, effectNumber, tidy } from "./panel-size-numbers.ts";
import { unitsText } from "./panel-size-words.ts";

/** The power curve as SVG text: chance of the claim over how large the truth is, for two panels. */
export function powerPlot(design: PanelDesign, forecast: PanelForecast): string {
  const { question, power } = design;
  const points = forecast.curve.map(({ truth, have, needed }) => ({
    truth: effectNumber(question, truth),
    have: 100 * have,
    needed: needed === null ? null : 100 * needed,
  }));
  const matters = effectNumber(question, forecast.matters);
  const along = { x: "truth", stroke: "var(--estimate)", strokeWidth: 2.5 };
  return draw(curveInWords(design, forecast), {
    height: 340,
    marginLeft: 52,
    marginRight: 20,
    marginTop: 40,
    marginBottom: 56,
    x: { label: effectAxis(question), labelAnchor: "center", labelOffset: 48, ticks: 6 },
    y: { domain: [0, 100], label: `↑ ${claimText(forecast)}, %`, ticks: 5, grid: true },
    marks: [
      Plot.ruleY([100 * power], { stroke: "currentColor", strokeDasharray: "2 4" }),
      Plot.ruleX([matters], { stroke: "currentColor", strokeDasharray: "2 4" }),
      ...(forecast.needed === null
        ? []
        : [Plot.line(points, { ...along, y: "needed", strokeDasharray: "8 5" })]),
      Plot.line(points, { ...along, y: "have" }),
    ],
  });
}

/** What the vertical axis counts. */
export function claimText({ goal, unit, closeness }: PanelForecast): string {
  if (goal === "difference") return "chance that it is found";
  return unit === "taster" && closeness.coffees > 1
    ? `chance that all ${closeness.coffees} coffees pass`
    : "chance that it passes";
}

/** The drawing for whoever doesn't see it. */
function curveInWords(design: PanelDesign, forecast: PanelForecast): string {
  const { question } = design;
  const some = forecast.curve.filter((_, i) => i % 10 === 0);
  const read = some.map(
    ({ truth, have }) => `${tidy(effectNumber(question, truth), 2)}: ${chanceText(have)}`,
  );
  return `${claimText(forecast)}, by ${effectAxis(question)}, with ${unitsText(forecast, forecast.have.units)}. ${read.join("; ")}. The table below holds more.`;
}

/** Every fifth point of the curve as a table. */
export function curveRows({ question }: PanelDesign, forecast: PanelForecast) {
  return forecast.curve
    .filter((_, i) => i % 5 === 0)
    .map(({ truth, have, needed }) => ({
      truth: tidy(effectNumber(question, truth), 2),
      have: chanceText(have),
      needed: needed === null ? null : chanceText(needed),
    }));
}
