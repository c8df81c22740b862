import { isRightOrWrong } from "../../experiment/endpoint.ts";
import type { Plan } from "../../experiment/plan.ts";
import type { EndpointOutlook, PlanOutlook } from "../planning/outlook.ts";
import { counted, grouped, howOften, percent, percentAtMost, size } from "./numbers.ts";
import { questionWords } from "./questions.ts";

/** What a plan can and cannot find, in sentences. */
export interface PlanWords {
  cups: string;
  endpoints: {
    endpointId: string;
    question: string;
    canFind: string[];
    canPass: string[];
    process: string;
    falseAlarms: string[];
  }[];
}

export function wordOutlook(outlook: PlanOutlook, plan: Plan): PlanWords {
  return {
    cups: `${counted(outlook.cupsPerTaster, "cup")} a taster, ${grouped(Math.round(outlook.millilitresPerTaster))} mL if all is drunk; ${counted(outlook.cupsPerSession, "cup")} from ${counted(outlook.pots, "pot")} in all.`,
    endpoints: outlook.endpoints.map((endpoint) => ({
      endpointId: endpoint.endpointId,
      question: questionWords(endpoint),
      canFind: findSentences(endpoint, outlook.power),
      canPass: passSentences(endpoint, plan.coffees.length),
      process: processSentence(endpoint),
      falseAlarms: falseAlarmSentences(endpoint),
    })),
  };
}

function findSentences(endpoint: EndpointOutlook, power: number): string[] {
  const { difference, margin, tastersRepeat } = endpoint;
  const sentences = [
    `A difference as large as the margin (${effectWords(endpoint, margin)}) would be found ${percent(difference.chanceAtMargin)} of the time.`,
    difference.smallestEffect === null
      ? `Nothing, however large, would be found ${howOften(power)}.`
      : `The smallest difference found ${howOften(power)} is ${effectWords(endpoint, difference.smallestEffect)}.`,
  ];
  if (difference.criticalCount !== null) {
    const what = isRightOrWrong(endpoint) ? "right" : "of one kind";
    sentences.push(`It takes at least ${difference.criticalCount} ${what} of ${endpoint.answers}.`);
  }
  if (difference.assumedSd !== null) {
    sentences.push(
      `This takes differences to vary with a standard deviation of ${size(difference.assumedSd, 2)} points; replace it by your own.`,
    );
  }
  if (tastersRepeat && difference.assumedSd === null) {
    sentences.push(repeatSentence(endpoint));
  }
  return sentences;
}

function repeatSentence(endpoint: EndpointOutlook): string {
  return isRightOrWrong(endpoint)
    ? "Tasters answer more than once: this takes it that always the same people notice, and the others guess."
    : "Tasters answer more than once: if they differ among themselves, true chances are lower.";
}

function effectWords({ kind }: EndpointOutlook, effect: number): string {
  switch (kind) {
    case "overall-difference":
      return `${percent(effect)} of people telling the cups apart`;
    case "attribute-difference":
      return `${percent(effect)} of people truly finding the cup with more of it`;
    case "direction":
    case "preference":
      return `${percent((1 + effect) / 2)} picking one side`;
    case "attribute-score":
      return `${size(effect, 1)} points`;
    case "extraction-yield":
      return `${size(effect, 2)} percentage points`;
  }
}

function passSentences({ similarity, kind }: EndpointOutlook, coffees: number): string[] {
  const one = `Coffees that are truly the same would pass as close enough ${percent(similarity.passOne)} of the time`;
  if (coffees === 1 || kind === "extraction-yield") return [`${one}.`];
  return [
    `${one} on one coffee, and ${percent(similarity.passAll)} of the time on all ${coffees}, as the claim needs.`,
  ];
}

function processSentence({ process }: EndpointOutlook): string {
  const have = counted(process.pairs, "brew pair");
  if (process.needsControlPairs && process.controlPairs === 0) {
    return "No claim beyond these pots is possible: right and wrong answers need hidden pairs of pots brewed alike to compare with.";
  }
  if (!process.claimable) {
    return `No claim beyond these pots is possible: ${have}, and it takes at least ${process.pairsForAnyClaim}.`;
  }
  return process.pairsThatMustAgree === null
    ? `A claim beyond these pots is possible with ${have} and ${process.controlPairs} brewed alike.`
    : `A claim beyond these pots is possible: about ${process.pairsThatMustAgree} of ${have} would have to lean one way.`;
}

function falseAlarmSentences({ falseAlarms }: EndpointOutlook): string[] {
  const identical = `If the cups are identical, it says "different" at most ${percentAtMost(falseAlarms.whenIdentical, 1)} of the time.`;
  const { whenPotsVary } = falseAlarms;
  if (!whenPotsVary) return [identical];
  return [
    identical,
    `If the treatment does nothing but pots vary by themselves about as much as we assume, these cups still differ, and are found to, ${percent(whenPotsVary.rate)} of the time: that is why the claim beyond these pots counts pairs.`,
  ];
}
