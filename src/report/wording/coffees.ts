import type { CoffeeFinding } from "../coffee-finding.ts";
import { nothing, seen, stateWords } from "./cups.ts";
import type { SampleFacts } from "./facts.ts";
import { timesByLuck } from "./numbers.ts";

/** One sentence on one coffee; a coffee that goes the other way is named as doing so. */
export function coffeeSentence(coffee: CoffeeFinding, facts: SampleFacts, coffees: number): string {
  if (coffee.counts.answers === 0) return `${coffee.name}: ${nothing(facts.kind)}.`;
  if (coffee.exception === "other-way") return `${otherWay(coffee, facts)}.`;
  // Overall may be settled where one coffee by itself is not.
  const alone = coffee.state === "inconclusive" && coffees > 1 ? " on its own" : "";
  const state = `${stateWords[coffee.state]}${alone}`;
  const aside = coffee.goesOtherWay ? "; it leans the other way, which may be luck" : "";
  return `${coffee.name}: ${seen(facts)}: ${state}${aside}.`;
}

/** "Cinder goes the other way: Tank was picked 18 of 24 times; luck alone …". */
export function otherWay(coffee: CoffeeFinding, facts: SampleFacts): string {
  const often = timesByLuck(coffee.exceptionPValue ?? 1);
  return `${coffee.name} goes the other way: ${seen(facts)}; luck alone would do that ${often}`;
}
