import { reachesAlpha } from "../statistics/binomial.ts";
import type { EndpointFinding } from "./endpoint-finding.ts";
import type { EndpointState } from "./finding-parts.ts";
import type { Advice, Headline } from "./findings.ts";

/** A p at most at its level; without a p nothing is claimed. */
export function atMost(pValue: number | null, level: number): boolean {
  return pValue !== null && reachesAlpha(pValue, level);
}

/**
 * The state of an endpoint from its two questions. Neither shown nor within the margin is
 * inconclusive: absence of a finding is never sameness.
 */
export function stateOf(shown: boolean, within: boolean): EndpointState {
  if (shown) return within ? "trivial-difference" : "difference";
  return within ? "equivalence" : "inconclusive";
}

/**
 * The report's headline, from the primary endpoint. Saying "different" in any form needs the overall
 * test or, with alpha split beforehand, a coffee's Holm-adjusted one, so that all headlines that say
 * different hold alpha together.
 */
export function headlineOf(primary: EndpointFinding, sound: boolean): Headline {
  if (!sound) return "not-sound";
  switch (primary.state) {
    case "difference":
      return onlySome(primary) ? "different-for-some" : "different";
    case "trivial-difference":
    case "equivalence":
      return "close-enough";
    case "inconclusive":
      return "not-settled";
  }
}

/** A coffee carries the finding alone, or one is named as an exception to it. */
function onlySome(primary: EndpointFinding): boolean {
  return (
    primary.shownBy === "coffees" || primary.coffees.some((coffee) => coffee.exception !== null)
  );
}

/**
 * What to do. Changing the bar rests on the process claim: without it the finding is about the pots
 * that were on the table. An overall difference says nothing about which is better, so it asks for
 * another session too.
 */
export function adviceOf(headline: Headline, primary: EndpointFinding): Advice {
  switch (headline) {
    case "not-sound":
    case "not-settled":
      return "repeat";
    case "close-enough":
      return "stop";
    case "different-for-some":
      return changeMayFollow(primary) ? "limit" : "repeat";
    case "different":
      return adviceOnDifference(primary);
  }
}

function adviceOnDifference(primary: EndpointFinding): Advice {
  if (!changeMayFollow(primary)) return "repeat";
  const towardsA = (primary.estimate?.value ?? 0) < 0;
  return primary.kind === "preference" && towardsA ? "stop" : "roll-out";
}

function changeMayFollow(primary: EndpointFinding): boolean {
  return primary.process.status === "shown" && primary.kind !== "overall-difference";
}
