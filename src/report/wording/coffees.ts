import type { CoffeeFinding } from "../coffee-finding.ts";
import type { EndpointFinding } from "../endpoint-finding.ts";
import { nothing, seen, stateWords } from "./cups.ts";
import { factsOf, type SampleFacts } from "./facts.ts";
import { timesByLuck } from "./numbers.ts";
import { sentence } from "./sentence.ts";

/** One line of the table that a manager reads: a coffee, what was seen of it, what that means. */
export interface VerdictRow {
  name: string;
  seen: string;
  verdict: string;
}

/** What stands in a verdict's place when the test is not sound. */
export const NO_VERDICT = "no verdict";

/** A row for all coffees together, where there are several, and one for each. */
export function verdictRows(
  finding: EndpointFinding,
  names: SampleFacts["names"],
  sound: boolean,
): VerdictRow[] {
  const coffees = finding.coffees.map((coffee) => ({
    name: coffee.name,
    seen: seenOf(factsOf(finding, names, coffee)),
    verdict: sound ? coffeeVerdict(coffee, finding) : NO_VERDICT,
  }));
  if (coffees.length < 2) return coffees;
  const together = {
    name: "All coffees",
    seen: seenOf(factsOf(finding, names)),
    verdict: sound ? overallVerdict(finding) : NO_VERDICT,
  };
  return [together, ...coffees];
}

/** What was seen, claiming nothing: "14 of 24 picked the odd cup". */
export function seenOf(facts: SampleFacts): string {
  const text = facts.counts.answers === 0 ? nothing(facts.kind) : seen(facts);
  return sentence(text).replace(/\.$/, "");
}

function overallVerdict({ state, shownBy, coffees }: EndpointFinding): string {
  if (shownBy === "coffees") return "different on some coffees";
  const excepted = coffees.some(({ exception }) => exception !== null);
  return excepted ? `${stateWords[state]}, not on every coffee` : stateWords[state];
}

function coffeeVerdict(coffee: CoffeeFinding, overall: EndpointFinding): string {
  if (coffee.counts.answers === 0) return "nothing can be said";
  if (coffee.exception === "other-way") {
    return `goes the other way; luck alone would do that ${timesByLuck(coffee.exceptionPValue ?? 1)}`;
  }
  const aside = coffee.goesOtherWay ? "; it leans the other way, which may be luck" : "";
  // Overall may be settled where one coffee by itself is not.
  if (coffee.state !== "inconclusive" || overall.coffees.length < 2) {
    return `${stateWords[coffee.state]}${aside}`;
  }
  const alone = `${stateWords.inconclusive} on its own${aside}`;
  return pointsAlong(coffee, overall) ? `points the same way, ${alone}` : alone;
}

function pointsAlong(coffee: CoffeeFinding, { state, shownBy, estimate }: EndpointFinding) {
  const shown = state === "difference" && shownBy === "overall";
  return shown && (coffee.estimate?.value ?? 0) * (estimate?.value ?? 0) > 0;
}

/** Why coffees under a settled question may not be settled; null where it doesn't arise. */
export function aloneSentence({ state, shownBy, coffees }: EndpointFinding): string | null {
  const settled = state === "difference" && shownBy === "overall";
  const open = coffees.some(
    (coffee) => coffee.state === "inconclusive" && coffee.counts.answers > 0,
  );
  return settled && coffees.length > 1 && open
    ? "“Not settled on its own”: one coffee alone has fewer answers than all together; this is no sign that it differs from the rest."
    : null;
}

/** "Cinder goes the other way: Tank was picked 18 of 24 times; luck alone …". */
export function otherWay(coffee: CoffeeFinding, facts: SampleFacts): string {
  const often = timesByLuck(coffee.exceptionPValue ?? 1);
  return `${coffee.name} goes the other way: ${seen(facts)}; luck alone would do that ${often}`;
}
