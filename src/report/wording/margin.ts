import type { SampleFacts } from "./facts.ts";
import { percent, percentAtMost, signed, size } from "./numbers.ts";
import { decimalsOf } from "./units.ts";

/** That the margin holds: "on every coffee at most 22 % of people could tell them apart, …". */
export function insideMargin(facts: SampleFacts): string {
  const where = heldByCoffee(facts) ? "on every coffee " : "";
  return `${where}${limitClause(facts)}, inside the ${marginWords(facts)} that you set as not mattering`;
}

function limitClause(facts: SampleFacts): string {
  const { lowerLimit, upperLimit, margin } = facts.margin;
  const [lower, upper] = [lowerLimit ?? 0, upperLimit ?? 0];
  switch (facts.kind) {
    case "overall-difference":
      return `at most ${percentAtMost(upper, margin)} of people could tell them apart`;
    case "attribute-difference": {
      const furthest = percentAtMost(Math.max(upper, -lower), margin);
      return `at most ${furthest} of people could truly find more ${facts.attribute} in one of them`;
    }
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
  // Two one-sided tests at alpha are an interval at 1 − 2 alpha.
  const level = Math.round(100 * (1 - 2 * margin.level));
  return `${signed(margin.lowerLimit ?? 0, decimals)} and ${signed(margin.upperLimit ?? 0, decimals)} points (${level} % interval)`;
}

/** The margin as the plan set it. */
export function marginWords({ kind, margin }: Pick<SampleFacts, "kind" | "margin">): string {
  switch (kind) {
    case "overall-difference":
    case "attribute-difference":
    case "direction":
    case "preference":
      return percent(margin.margin);
    case "attribute-score":
    case "extraction-yield":
      return `±${size(margin.margin, 2)} points`;
  }
}

/** What an inconclusive result leaves open; never that the cups are the same. */
export function stillPossible(facts: SampleFacts): string {
  if (facts.margin.upperLimit === null) {
    return "there are too few answers to say how large a difference could be";
  }
  const where = heldByCoffee(facts) ? "on some coffee " : "";
  return `yet ${where}${openClause(facts)}, and you set ${marginWords(facts)} as the most that doesn't matter`;
}

function openClause(facts: SampleFacts): string {
  const { lowerLimit, upperLimit } = facts.margin;
  switch (facts.kind) {
    case "overall-difference":
      return `up to ${percent(upperLimit ?? 1)} of people could still be telling them apart`;
    case "attribute-difference": {
      const furthest = percent(Math.max(upperLimit ?? 1, -(lowerLimit ?? -1)));
      return `up to ${furthest} of people could truly be finding more ${facts.attribute} in one of them`;
    }
    case "direction":
    case "preference": {
      const furthest = Math.max(upperLimit ?? 1, -(lowerLimit ?? -1));
      return `up to ${percent(furthest)} of people could truly be leaning one way`;
    }
    case "attribute-score":
    case "extraction-yield":
      return `the true gap could be anything between ${range(facts)}`;
  }
}

/** Yields are compared over all brew pairs together; everything else has to hold on each coffee. */
function heldByCoffee({ coffees, kind }: Pick<SampleFacts, "coffees" | "kind">): boolean {
  return coffees > 1 && kind !== "extraction-yield";
}
