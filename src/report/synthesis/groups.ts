import type { Plan } from "../../experiment/plan.ts";
import { plainName } from "../../experiment/typed-name.ts";
import { type Combined, combineSessions } from "./combine.ts";
import type { EffectScale } from "./effect-scale.ts";
import { onCoffees, type SessionAnswers } from "./session-answers.ts";

/** Sessions combined on one coffee, or on coffees of one roast. */
export interface CombinedGroup {
  name: string;
  combined: Combined;
}

/** Coffee by coffee, by name: a coffee that comes again in another session is the same coffee. */
export function byCoffee(sessions: readonly SessionAnswers[], scale: EffectScale): CombinedGroup[] {
  return grouped(sessions, scale, ({ name }) => name);
}

/** Roast by roast, coffees without a stated roast left aside. */
export function byRoast(sessions: readonly SessionAnswers[], scale: EffectScale): CombinedGroup[] {
  return grouped(sessions, scale, ({ roast }) => roast);
}

type Coffee = Plan["coffees"][number];

function grouped(
  sessions: readonly SessionAnswers[],
  scale: EffectScale,
  nameOf: (coffee: Coffee) => string,
): CombinedGroup[] {
  const names = new Map<string, string>();
  for (const coffee of sessions.flatMap(({ coffees }) => coffees)) {
    const name = nameOf(coffee);
    if (name !== "" && !names.has(plainName(name))) names.set(plainName(name), name);
  }
  return [...names].map(([plain, name]) => ({
    name,
    combined: combineSessions(
      sessions
        .map((session) => onCoffees(session, (coffee) => plainName(nameOf(coffee)) === plain))
        .filter(({ coffees }) => coffees.length > 0),
      scale,
    ),
  }));
}
