import type { CoffeeFinding } from "../coffee-finding.ts";
import { seen, stateWords } from "./cups.ts";
import type { SampleFacts } from "./facts.ts";
import { timesByLuck } from "./numbers.ts";

/** One sentence on one coffee; a coffee that goes the other way is named as doing so. */
export function coffeeSentence(coffee: CoffeeFinding, facts: SampleFacts): string {
  if (coffee.counts.answers === 0) return `${coffee.name}: no answer counts.`;
  if (coffee.exception === "other-way") return `${otherWay(coffee, facts)}.`;
  const state = stateWords[coffee.state];
  const aside = coffee.goesOtherWay ? "; it leans the other way, which may be luck" : "";
  return `${coffee.name}: ${seen(facts)}: ${state}${aside}.`;
}

/** "Cinder goes the other way: Tank was picked 18 of 24 times; luck alone …". */
export function otherWay(coffee: CoffeeFinding, facts: SampleFacts): string {
  const often = timesByLuck(coffee.exceptionPValue ?? 1);
  return `${coffee.name} goes the other way: ${seen(facts)}; luck alone would do that ${often}`;
}
