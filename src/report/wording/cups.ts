import { isRightOrWrong } from "../../experiment/endpoint.ts";
import type { EndpointState } from "../finding-parts.ts";
import { leader, type SampleFacts } from "./facts.ts";
import { insideMargin, stillPossible } from "./margin.ts";
import { counted, signed, size, timesByLuck } from "./numbers.ts";
import { rightAnswers } from "./right-answers.ts";
import { sentence } from "./sentence.ts";
import { decimalsOf, pointsOf } from "./units.ts";

/** The four states in words. */
export const stateWords: Record<EndpointState, string> = {
  difference: "different",
  "trivial-difference": "a small difference, within the margin",
  equivalence: "close enough",
  inconclusive: "not settled",
};

/** One sentence on what the cups showed, with the number that carries it. */
export function cupsSentence(state: EndpointState, facts: SampleFacts): string {
  if (facts.counts.answers === 0) return sentence(`${nothing(facts.kind)}, so nothing can be said`);
  switch (state) {
    case "difference":
      return sentence(`${claim(facts)}: ${carriedBy(facts, "claimed")}`);
    case "trivial-difference":
      return sentence(
        `there is a small difference (${carriedBy(facts, "alone")}), but ${insideMargin(facts)}`,
      );
    case "equivalence":
      return sentence(insideMargin(facts));
    case "inconclusive":
      return sentence(`not settled: ${carriedBy(facts, "alone")}; ${stillPossible(facts)}`);
  }
}

/** That there is nothing to go by. */
export function nothing(kind: SampleFacts["kind"]): string {
  return kind === "extraction-yield" ? "no brew pair has both yields" : "no answer counts";
}

/** What is claimed, in one clause. */
export function claim(facts: SampleFacts): string {
  const first = facts.names[leader(facts)];
  switch (facts.kind) {
    case "overall-difference":
      return `people can tell ${facts.names.A} and ${facts.names.B} apart`;
    case "attribute-difference":
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
function carriedBy(facts: SampleFacts, after: "claimed" | "alone"): string {
  const luck = luckClause(facts);
  const what = after === "claimed" ? seenOfClaim(facts) : seen(facts);
  return luck === null ? what : `${what}; ${luck}`;
}

/** The same right after the claim, which has named the treatment: "it was picked 98 of 144 times". */
function seenOfClaim(facts: SampleFacts): string {
  switch (facts.kind) {
    case "overall-difference":
      return seen(facts);
    case "attribute-difference":
      return `it was picked out of three ${facts.counts.correct} of ${facts.counts.answers} times`;
    case "direction":
    case "preference":
      return `it was picked ${picksOfLeader(facts)} of ${facts.counts.answers} times`;
    case "attribute-score":
    case "extraction-yield":
      return `by ${size(facts.estimate?.value ?? 0, decimalsOf(facts.kind))} ${pointsOf(facts.kind)} ${onAverage(facts)}`;
  }
}

/** What was seen: "14 of 24 picked the odd cup". */
export function seen(facts: SampleFacts): string {
  const { counts, kind, names } = facts;
  switch (kind) {
    case "overall-difference":
      return `${counts.correct} of ${counts.answers} ${rightAnswers[facts.method ?? "triangle"]}`;
    case "attribute-difference":
      return `${names[facts.difference.expected ?? "B"]} was picked out of three ${counts.correct} of ${counts.answers} times`;
    case "direction":
    case "preference":
      return `${names[leader(facts)]} was picked ${picksOfLeader(facts)} of ${counts.answers} times`;
    case "attribute-score":
    case "extraction-yield":
      return `${gap(facts)} ${onAverage(facts)}`;
  }
}

function picksOfLeader(facts: SampleFacts): number {
  const { pickedA, pickedB } = facts.counts;
  return (leader(facts) === "A" ? pickedA : pickedB) ?? 0;
}

function gap({ names, estimate, kind }: SampleFacts): string {
  const value = signed(estimate?.value ?? 0, decimalsOf(kind));
  return `${names.B} came out ${value} ${pointsOf(kind)} against ${names.A}`;
}

function onAverage({ counts, kind }: SampleFacts): string {
  return kind === "extraction-yield"
    ? `on average over ${counted(counts.answers, "brew pair")}`
    : `on average over ${counted(counts.tasters, "taster")}`;
}

function luckClause(facts: SampleFacts): string | null {
  const { difference, kind } = facts;
  const { pValue, sides } = difference;
  if (pValue === null) return null;
  if (againstExpected(facts)) return "it leaned against what was expected";
  if (evenPicks(facts)) return "the picks split evenly";
  const often = timesByLuck(pValue);
  if (isRightOrWrong(facts)) return `luck alone would do that well ${often}`;
  const way = sides === "two" ? "this far either way" : "this far";
  return kind === "direction" || kind === "preference"
    ? `luck alone would lean ${way} ${often}`
    : `luck alone would put them ${sides === "two" ? "this far apart" : way} ${often}`;
}

/** A one-sided test counts only what is expected: luck nearly always does as well as the other way. */
function againstExpected({ difference, estimate }: SampleFacts): boolean {
  const { sides, expected } = difference;
  const value = estimate?.value ?? 0;
  return sides === "one" && (expected === "A" ? value > 0 : expected === "B" && value < 0);
}

function evenPicks({ counts, kind }: SampleFacts): boolean {
  return (kind === "direction" || kind === "preference") && counts.pickedA === counts.pickedB;
}
