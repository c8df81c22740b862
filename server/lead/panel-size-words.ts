import type { PanelForecast, PanelRow } from "../../src/report/planning/panel.ts";
import type { PanelDesign } from "../../src/report/planning/panel-test.ts";
import { chanceText, effectText, tidy } from "./panel-size-numbers.ts";
import { counted } from "./plan-words.ts";

/** `12 tasters`, `1 brew pair`. */
export function unitsText({ unit }: PanelForecast, units: number): string {
  return counted(units, unit === "taster" ? "taster" : "brew pair");
}

/** The panel proposed, in one sentence: the stable size, after which nobody need count again. */
export function proposalText(design: PanelDesign, forecast: PanelForecast): string {
  const { needed, goal } = forecast;
  const wanted = chanceText(design.power);
  if (needed === null) {
    return `No panel that we search makes the chance ${wanted}. A larger effect, or scores that spread less, would.`;
  }
  const { units, decidingCount, answers, chance } = needed.stable ?? needed.smallest;
  const what =
    goal === "closeness"
      ? "Coffees that are truly the same pass"
      : `${effectWords(design)} is found`;
  const later = needed.stable === null ? "" : `, and with more never less than ${wanted}`;
  return `${unitsText(forecast, units)}${countText(design, forecast, answers, decidingCount)}. ${what} ${chanceText(chance)} of the time${later}.`;
}

function effectWords({ question }: PanelDesign): string {
  switch (question.kind) {
    case "apart":
    case "same":
      return `A difference that ${tidy(100 * question.noticing)}\u00a0% of people truly notice`;
    case "more":
    case "liked":
      return `A lean with ${tidy(100 * question.pickRate)}\u00a0% of picks for one cup`;
    case "scores":
    case "yield":
      return `A true difference of ${tidy(question.points, 2)} points`;
  }
}

function countText(
  { question, coffees }: PanelDesign,
  { goal }: PanelForecast,
  answers: number | null,
  count: number | null,
): string {
  if (answers === null || count === null) return "";
  const onACoffee = coffees > 1 ? " on each coffee" : "";
  if (goal === "closeness") return `: at most ${count} right of ${answers} pass${onACoffee}`;
  return `: ${count} ${question.kind === "apart" ? "right" : "alike"} of ${answers} answers show it`;
}

/** What the panel at hand can and cannot show about these cups. */
export function cupsSentences(design: PanelDesign, forecast: PanelForecast): string[] {
  const { have, difference } = forecast;
  const who = unitsText(forecast, have.units);
  const wanted = chanceText(design.power);
  const smallest =
    difference.smallestEffect === null
      ? `Nothing, however large, would be found ${wanted} of the time.`
      : `The smallest effect found ${wanted} of the time is ${effectText(design.question, difference.smallestEffect)}.`;
  return [
    `With ${who}, ${lower(effectWords(design))} is found ${chanceText(difference.chance)} of the time.`,
    smallest,
    ...repeatSentence(design, forecast),
    "Finding nothing would not show that the cups are the same.",
  ];
}

function repeatSentence(design: PanelDesign, forecast: PanelForecast): string[] {
  const { chanceIfAlike, have, difference } = forecast;
  if (chanceIfAlike !== null) {
    // In small panels of many answers a single person who always notices may already show it.
    const less =
      chanceIfAlike < difference.chance ? "" : ", so that repeats help less than new people";
    return [
      `Tasters answer more than once. This takes it that the same people notice every time and the others guess${less}. Were tasters all alike, the chance would be ${chanceText(chanceIfAlike)}.`,
    ];
  }
  if (have.answers === null || have.answers === have.units || design.question.kind === "same") {
    return [];
  }
  return [
    "Tasters answer more than once, so tasters are counted by the way that each leans, not answers; and chances are lower as far as tasters are unlike each other.",
  ];
}

/** Smallest, stable and own panel beside each other. */
export function panelRows(forecast: PanelForecast) {
  const { needed, have } = forecast;
  const rows: [string, PanelRow | null][] = [
    ["Smallest", needed?.smallest ?? null],
    ["Stable", needed?.stable ?? null],
    ["Yours", have],
  ];
  return rows.flatMap(([name, row]) =>
    row === null
      ? []
      : [
          {
            name,
            units: row.units,
            answers: row.answers ?? "–",
            count: row.decidingCount ?? "–",
            chance: chanceText(row.chance),
          },
        ],
  );
}

function lower(sentence: string): string {
  return sentence.charAt(0).toLowerCase() + sentence.slice(1);
}
