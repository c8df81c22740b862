import type { EndpointState } from "../finding-parts.ts";
import { leader, type SampleFacts } from "./facts.ts";
import { counted, percent, percentAtMost, signed, size, timesByLuck } from "./numbers.ts";
import { sentence } from "./sentence.ts";

/** The four states in words. */
export const stateWords: Record<EndpointState, string> = {
  difference: "different",
  "trivial-difference": "a small difference, within the margin",
  equivalence: "close enough",
  inconclusive: "not settled",
};

/** One sentence on what the cups showed, with the number that carries it. */
export function cupsSentence(state: EndpointState, facts: SampleFacts): string {
  if (facts.counts.answers === 0) return "No answer counts, so nothing can be said.";
  switch (state) {
    case "difference":
      return sentence(`${claim(facts)}: ${carriedBy(facts)}`);
    case "trivial-difference":
      return sentence(`there is a small difference (${carriedBy(facts)}), but ${within(facts)}`);
    case "equivalence":
      return sentence(within(facts));
    case "inconclusive":
      return sentence(`not settled: ${carriedBy(facts)}; ${stillPossible(facts)}`);
  }
}

/** What is claimed, in one clause. */
export function claim(facts: SampleFacts): string {
  const first = facts.names[leader(facts)];
  switch (facts.kind) {
    case "overall-difference":
      return `people can tell ${facts.names.A} and ${facts.names.B} apart`;
    case "direction":
      return `${first} has more ${facts.attribute}`;
    case "preference":
      return `people prefer ${first}`;
    case "attribute-score":
      return `${first} scores higher on ${facts.attribute}`;
    case "extraction-yield":
      return `${first} extracts more`;
  }
}

/** The counts and how often luck alone would bring them. */
export function carriedBy(facts: SampleFacts): string {
  const luck = luckClause(facts);
  return luck === null ? seen(facts) : `${seen(facts)}; ${luck}`;
}

/** What was seen: "14 of 24 picked the odd cup". */
export function seen(facts: SampleFacts): string {
  const { counts, kind, names, estimate } = facts;
  const first = leader(facts);
  const picks = (first === "A" ? counts.pickedA : counts.pickedB) ?? 0;
  switch (kind) {
    case "overall-difference":
      return `${counts.correct} of ${counts.answers} picked the odd cup`;
    case "direction":
    case "preference":
      return `${names[first]} was picked ${picks} of ${counts.answers} times`;
    case "attribute-score":
      return `${gap(facts)} on average over ${counted(counts.tasters, "taster")}`;
    case "extraction-yield":
      return estimate === null
        ? "no brew pair has both yields"
        : `${gap(facts)} on average over ${counted(counts.answers, "brew pair")}`;
  }
}

function gap({ names, estimate, kind }: SampleFacts): string {
  const value = estimate?.value ?? 0;
  const points = kind === "extraction-yield" ? "percentage points" : "points";
  return `${names.B} came out ${signed(value, decimalsOf(kind))} ${points} against ${names.A}`;
}

const decimalsOf = (kind: SampleFacts["kind"]) => (kind === "extraction-yield" ? 2 : 1);

function luckClause({ difference, kind }: SampleFacts): string | null {
  const { pValue, sides } = difference;
  if (pValue === null) return null;
  const often = timesByLuck(pValue);
  if (kind === "overall-difference") return `luck alone would do that well ${often}`;
  const way = sides === "two" ? "this far either way" : "this far";
  return kind === "direction" || kind === "preference"
    ? `luck alone would lean ${way} ${often}`
    : `luck alone would put them ${sides === "two" ? "this far apart" : way} ${often}`;
}

/** That the margin holds: "on every coffee at most 22 % of people could tell them apart, …". */
function within(facts: SampleFacts): string {
  const where = facts.coffees > 1 ? "on every coffee " : "";
  return `${where}${limitClause(facts)}, inside ${marginWords(facts)} that you set as not mattering`;
}

function limitClause(facts: SampleFacts): string {
  const { lowerLimit, upperLimit, margin } = facts.margin;
  const [lower, upper] = [lowerLimit ?? 0, upperLimit ?? 0];
  switch (facts.kind) {
    case "overall-difference":
      return `at most ${percentAtMost(upper, margin)} of people could tell them apart`;
    case "direction":
    case "preference": {
      const furthest = Math.max(upper, -lower);
      return `at most ${percentAtMost(furthest, margin)} of people could truly be leaning one way`;
    }
    case "attribute-score":
    case "extraction-yield":
      return `the true gap lies between ${range(facts)}`;
  }
}

function range({ kind, margin }: SampleFacts): string {
  const decimals = decimalsOf(kind);
  return `${signed(margin.lowerLimit ?? 0, decimals)} and ${signed(margin.upperLimit ?? 0, decimals)} points`;
}

/** The margin as the plan set it. */
export function marginWords({ kind, margin }: Pick<SampleFacts, "kind" | "margin">): string {
  switch (kind) {
    case "overall-difference":
    case "direction":
    case "preference":
      return `the ${percent(margin.margin)}`;
    case "attribute-score":
    case "extraction-yield":
      return `the ±${size(margin.margin, 2)} points`;
  }
}

/** What an inconclusive result leaves open; never that the cups are the same. */
function stillPossible(facts: SampleFacts): string {
  if (facts.margin.upperLimit === null) {
    return "there are too few answers to say how large a difference could be";
  }
  const where = facts.coffees > 1 ? "on some coffee " : "";
  return `yet ${where}${openClause(facts)}, and ${marginWords(facts)} is the most that doesn't matter`;
}

function openClause(facts: SampleFacts): string {
  const { lowerLimit, upperLimit, margin } = facts.margin;
  switch (facts.kind) {
    case "overall-difference":
      return `up to ${percentAtMost(upperLimit ?? 1, margin)} of people could still be telling them apart`;
    case "direction":
    case "preference": {
      const furthest = Math.max(upperLimit ?? 1, -(lowerLimit ?? -1));
      return `up to ${percentAtMost(furthest, margin)} of people could truly be leaning one way`;
    }
    case "attribute-score":
    case "extraction-yield":
      return `the true gap could be anything between ${range(facts)}`;
  }
}
