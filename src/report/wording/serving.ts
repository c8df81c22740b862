import type { ServingFinding, TimesFinding } from "../serving-times.ts";
import { counted, grouped, listed } from "./numbers.ts";

/** How the cups kept to the plan's serving window, and what is not known of it. */
export function servingSentences(
  finding: ServingFinding,
  coffeeName: (coffeeId: string) => string,
): string[] {
  const { ballots, notKnown, tooEarly, tooLate, coffees } = finding;
  if (ballots === 0) {
    return [
      `The plan has cups tasted ${windowWords(finding)}; nobody recorded when they were poured, so nobody knows whether they were.`,
    ];
  }
  const unknown =
    notKnown === 0 ? "" : ` Of ${counted(notKnown, "more ballot")} that is not known.`;
  if (tooEarly + tooLate === 0) {
    return [
      `All ${counted(ballots, "ballot")} with a known time of pouring came inside the serving window, ${windowWords(finding)}.${unknown}`,
    ];
  }
  const where = coffees
    .filter((coffee) => coffee.tooEarly + coffee.tooLate > 0)
    .map((coffee) => `${coffeeName(coffee.coffeeId)} ${outsideWords(coffee, finding)}`);
  const all = `Against the plan, ${outsideWords(finding, finding)} with a known time of pouring came outside the serving window, ${windowWords(finding)}`;
  return [`${all}: ${listed(where)}. They count; time alone leaves no answer out.${unknown}`];
}

/** `between 5 and 20 min after pouring`. */
function windowWords({ fromMinutes, withinMinutes }: ServingFinding): string {
  if (fromMinutes === null) return `within ${withinMinutes} min of pouring`;
  if (withinMinutes === null) return `from ${fromMinutes} min after pouring on`;
  return `between ${fromMinutes} and ${withinMinutes} min after pouring`;
}

/** `3 too early and 2 too late of 24 ballots`; a side that the plan leaves open is not named. */
function outsideWords(
  { ballots, tooEarly, tooLate }: TimesFinding,
  { fromMinutes, withinMinutes }: ServingFinding,
): string {
  const sides = [
    ...(fromMinutes === null ? [] : [`${grouped(tooEarly)} too early`]),
    ...(withinMinutes === null ? [] : [`${grouped(tooLate)} too late`]),
  ];
  return `${listed(sides)} of ${counted(ballots, "ballot")}`;
}
