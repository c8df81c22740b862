import * as Plot from "@observablehq/plot";
import { parseHTML } from "linkedom";

/** Narrow enough that the text stays readable on a phone, where the drawing shrinks. */
const WIDTH = 560;

/**
 * A plot as SVG text with its text alternative. Colours come from the page's style sheet, and no
 * style of its own is left: the page's policy would block it.
 */
export function draw(label: string, options: Plot.PlotOptions): string {
  const { document } = parseHTML("<!doctype html><html><body></body></html>");
  const svg = Plot.plot({ ...options, document, width: WIDTH });
  svg.querySelector("style")?.remove();
  for (const part of svg.querySelectorAll("[aria-label]")) part.removeAttribute("aria-label");
  svg.setAttribute("role", "img");
  svg.setAttribute("aria-label", label);
  svg.removeAttribute("font-size");
  svg.setAttribute("class", "plot");
  return svg.outerHTML;
}
