import type { EndpointChart } from "../../src/report/charts.ts";
import type { EndpointFinding } from "../../src/report/endpoint-finding.ts";
import type { Unit } from "../../src/report/finding-parts.ts";
import { rowName } from "./plots.ts";

/** p as it is printed: four decimals, and never 0. */
export function pText(pValue: number | null): string {
  if (pValue === null) return "–";
  return pValue < 0.0001 ? "< 0.0001" : pValue.toFixed(4);
}

/** A value in the unit of its endpoint, with its sign where a sign means something. */
export function valueText(value: number | null, unit: Unit): string {
  if (value === null) return "–";
  switch (unit) {
    case "distinguishers":
      // Clamped for showing only: the raw share can be below 0.
      return `${(100 * Math.min(1, Math.max(0, value))).toFixed(0)} %`;
    case "lean":
    case "lean-of-three":
      // No lean goes further than everyone, though an approximate limit can.
      return `${signed(100 * Math.min(1, Math.max(-1, value)), 0)} %`;
    case "scale-points":
      return signed(value, 1);
    case "yield-points":
      return signed(value, 2);
  }
}

function signed(value: number, decimals: number): string {
  const text = Math.abs(value).toFixed(decimals);
  if (Number(text) === 0) return text;
  return `${value < 0 ? "−" : "+"}${text}`;
}

/** A plot's rows as a table. */
export function plotTable(chart: EndpointChart) {
  return chart.rows.map((row) => ({
    name: rowName(row),
    answers: row.answers,
    estimate: valueText(row.estimate, chart.unit),
    lower: valueText(row.lower, chart.unit),
    upper: valueText(row.upper, chart.unit),
  }));
}

const testNames = {
  "exact-binomial": "exact binomial",
  "sign-flip-over-tasters": "exact sign-flip over tasters",
  "sign-flip-over-brew-pairs": "exact sign-flip over brew pairs",
} as const;
const marginNames = {
  "clopper-pearson": "upper limit (Clopper–Pearson), weakest coffee",
  "taster-means": "limit over tasters' means (approximate), weakest coffee",
  "two-one-sided-t": "two one-sided t tests",
} as const;

/** Facts of one endpoint for whoever checks the statistics, as pairs of name and value. */
export function methodFacts(finding: EndpointFinding) {
  const { difference, margin, process, companions, homogeneity, replicated } = finding;
  const facts: [string, string | null][] = [
    ["Answers counted", String(finding.counts.answers)],
    ["Right answers", finding.counts.correct === null ? null : String(finding.counts.correct)],
    ["Test of a difference", `${testNames[difference.method]}, ${difference.sides}-sided`],
    ["p", pText(difference.pValue)],
    [
      "p, Holm-adjusted",
      difference.adjustedPValue === difference.pValue ? null : pText(difference.adjustedPValue),
    ],
    ["Held against", String(difference.level)],
    [
      "Fewest that would show it",
      difference.criticalCount === null ? null : String(difference.criticalCount),
    ],
    ["Estimate", estimateText(finding)],
    ["Margin", valueText(margin.margin, finding.unit).replace("+", "± ")],
    ["Test of the margin", marginNames[margin.method]],
    ["p of the margin", pText(margin.pValue)],
    [
      "Limits against the margin",
      `${valueText(margin.lowerLimit, finding.unit)} to ${valueText(margin.upperLimit, finding.unit)}`,
    ],
    ["Brew pairs", String(process.pairs)],
    ["p over brew pairs", pText(process.pValue)],
    ["Smallest p these pairs could give", pText(process.smallestPossiblePValue)],
    [
      "Strict binomial p",
      companions.strictBinomialPValue === null ? null : pText(companions.strictBinomialPValue),
    ],
    [
      "Signed-rank p (exact)",
      companions.signedRankPValue === null ? null : pText(companions.signedRankPValue),
    ],
    ["Paired t p", companions.tPValue === null ? null : pText(companions.tPValue)],
    ["Coffees alike? p", homogeneity === null ? null : pText(homogeneity.pValue)],
    [
      "Spread between tasters (beta-binomial)",
      replicated?.overdispersion == null ? null : replicated.overdispersion.toFixed(3),
    ],
  ];
  return facts.flatMap(([name, value]) => (value === null ? [] : [{ name, value }]));
}

function estimateText({ estimate, unit }: EndpointFinding): string {
  if (estimate === null) return "–";
  const { value, lower, upper, confidence } = estimate;
  const level = `${Math.round(100 * confidence)} %`;
  return `${valueText(value, unit)} (${level} interval ${valueText(lower, unit)} to ${valueText(upper, unit)})`;
}
