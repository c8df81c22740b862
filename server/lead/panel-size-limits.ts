import type { PanelForecast } from "../../src/report/planning/panel.ts";
import type { PanelDesign } from "../../src/report/planning/panel-test.ts";
import { chanceText, effectText, smallPText } from "./panel-size-numbers.ts";
import { counted } from "./plan-words.ts";

/** How often truly identical coffees would pass a similarity test. */
export function closenessSentences(design: PanelDesign, forecast: PanelForecast): string[] {
  const { passOne, passAll, coffees, smallestMargin } = forecast.closeness;
  const onAll =
    coffees === 1
      ? ""
      : ` on one coffee, and ${chanceText(passAll)} on all ${coffees} at once, as the claim needs`;
  const margin = effectText(design.question, forecast.matters);
  const wanted = chanceText(design.power);
  return [
    `Truly identical coffees pass as close enough, at a margin of ${margin}, ${chanceText(passOne)} of the time${onAll}.`,
    smallestMargin === null
      ? `No margin, however wide, would let them pass ${wanted} of the time.`
      : `The narrowest margin at which they pass ${wanted} of the time is ${effectText(design.question, smallestMargin)}.`,
    ...strictSentence(design, forecast),
  ];
}

function strictSentence(design: PanelDesign, { have }: PanelForecast): string[] {
  const { brewPairsPerCoffee, replicates, question } = design;
  if (question.kind === "yield") {
    return [
      "With treatments swapped across two brewers the report allows for the brewers, which costs one degree of freedom: a little less.",
    ];
  }
  if (have.answers === null || brewPairsPerCoffee * replicates === 1) return [];
  return [
    "Tasters repeat within a coffee: repeats are not new people, and the report's test over tasters' means is stricter than these counts. Plan as many people as if each tasted once.",
  ];
}

/** What the pots can show about the process. */
export function processSentences({ coffees }: PanelDesign, forecast: PanelForecast): string[] {
  const { process, whenPotsVary } = forecast;
  return [
    ...claimSentences(process),
    ...(whenPotsVary === null
      ? []
      : [
          `Pots differ by themselves. If they vary with an SD of ${whenPotsVary.potSdLogit} logit (an assumption) and the treatment does nothing, these cups are still found to differ ${chanceText(whenPotsVary.rate)} of the time: only the claim about the process guards against that.`,
        ]),
    ...(process.claimable ? [ofCoffees(coffees)] : []),
  ];
}

function ofCoffees(coffees: number): string {
  return coffees === 1
    ? "The claim speaks for this one coffee alone."
    : "The claim speaks for these coffees alone.";
}

function claimSentences(process: PanelForecast["process"]): string[] {
  const pairs = counted(process.pairs, "brew pair");
  if (process.needsControlPairs && process.controlPairs === 0) {
    return [
      "No claim about the process: triangles have no side to lean to, so their pairs are held against hidden pairs of pots made alike, and there are none.",
    ];
  }
  const smallest = `the smallest possible p is ${smallPText(process.smallestPossiblePValue ?? 1)}`;
  if (!process.claimable) {
    const enough = process.pairsForAnyClaim;
    const plan = enough === null ? "" : ` Plan at least ${enough}.`;
    return [
      `${pairs} can never carry a claim about the process, however they turn out: ${smallest}.${plan}`,
    ];
  }
  return process.pairsThatMustAgree === null
    ? [
        `${pairs} beside ${counted(process.controlPairs, "control pair")} can carry a claim about the process: ${smallest}.`,
      ]
    : [
        `${pairs} can carry a claim about the process if about ${process.pairsThatMustAgree} of them lean the same way: ${smallest}.`,
      ];
}
