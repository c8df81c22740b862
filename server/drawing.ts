import * as Plot from "@observablehq/plot";
import { parseHTML } from "linkedom";

/** Narrow enough that the text stays readable on a phone, where the drawing shrinks. */
export const DRAWING_WIDTH = 560;

/**
 * A plot as SVG text with its text alternative. Colours come from the page's style sheet, and no
 * style of its own is left: the page's policy would block it.
 */
export function draw(label: string, options: Plot.PlotOptions): string {
  const { document } = parseHTML("<!doctype html><html><body></body></html>");
  const svg = Plot.plot({ ...options, document, width: DRAWING_WIDTH });
  svg.querySelector("style")?.remove();
  for (const part of svg.querySelectorAll("[aria-label]")) part.removeAttribute("aria-label");
  svg.setAttribute("role", "img");
  svg.setAttribute("aria-label", label);
  svg.removeAttribute("font-size");
  svg.setAttribute("class", "plot");
  return svg.outerHTML;
}

/** Letters that fit on one line of a drawing, in the larger type of a phone. */
const LINE_LETTERS = 48;
const NAME_LETTERS = 28;

/** A name that fits on a drawing; the page and its tables have it whole. */
export function shortName(name: string, most = NAME_LETTERS): string {
  return name.length > most ? `${name.slice(0, most - 1).trimEnd()}…` : name;
}

/** What lies to either side, under the axis: on one line where both fit, else each on its own. */
export function sideNames([left, right]: readonly [string, string]): Plot.Markish[] {
  const oneLine = left.length + right.length <= LINE_LETTERS;
  return [
    Plot.text([left], {
      frameAnchor: "bottom-left",
      lineAnchor: "top",
      textAnchor: "start",
      dx: -30,
      dy: 32,
    }),
    Plot.text([right], {
      frameAnchor: "bottom-right",
      lineAnchor: "top",
      textAnchor: "end",
      dx: 30,
      dy: oneLine ? 32 : 52,
    }),
  ];
}
