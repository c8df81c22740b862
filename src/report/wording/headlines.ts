import type { BrewerFinding, ConductFinding, ControlFinding } from "../checks.ts";
import type { CoffeeFinding } from "../coffee-finding.ts";
import type { EndpointFinding } from "../endpoint-finding.ts";
import type { Headline, SoundnessFault } from "../findings.ts";
import { otherWay } from "./coffees.ts";
import { claim, cupsSentence, seen } from "./cups.ts";
import { factsOf, type SampleFacts } from "./facts.ts";
import { counted, listed, percent, timesByLuck } from "./numbers.ts";
import { rightAnswers } from "./right-answers.ts";
import { sentence } from "./sentence.ts";

/** The five headlines. */
export const headlineWords: Record<Headline, string> = {
  different: "Different",
  "different-for-some": "Different for some coffees",
  "close-enough": "Close enough",
  "not-settled": "Not settled",
  "not-sound": "Test not sound",
};

/** The verdict in one sentence, for a sound test. */
export function verdictSentence(
  headline: Exclude<Headline, "not-sound">,
  primary: EndpointFinding,
  names: SampleFacts["names"],
): string {
  const facts = factsOf(primary, names);
  if (headline !== "different-for-some") return cupsSentence(primary.state, facts);
  if (primary.shownBy === "coffees") return onSomeCoffees(primary, names);
  const overall = cupsSentence(primary.state, facts).replace(/\.$/, "");
  return `${overall}. Not on every coffee. ${exceptions(primary, names)}.`;
}

/** Alpha was split, and only single coffees showed it. */
function onSomeCoffees(primary: EndpointFinding, names: SampleFacts["names"]): string {
  const shown = primary.coffees.filter(({ difference }) => difference.shown);
  const carried = shown.map((coffee) => {
    const facts = factsOf(primary, names, coffee);
    const often = timesByLuck(coffee.difference.adjustedPValue ?? 1);
    return `on ${coffee.name} ${claim(facts)} (${seen(facts)}; luck alone would single out a coffee like this ${often})`;
  });
  const rest = primary.coffees.filter(({ difference }) => !difference.shown);
  const others =
    rest.length > 0
      ? `; ${listed(rest.map(({ name }) => name))} ${rest.length === 1 ? "is" : "are"} not shown to differ`
      : "";
  return sentence(`${carried.join("; ")}${others}`);
}

function exceptions(primary: EndpointFinding, names: SampleFacts["names"]): string {
  const other = primary.coffees.filter(({ exception }) => exception === "other-way");
  const close = primary.coffees.filter(({ exception }) => exception === "within-margin");
  const parts = other.map((coffee) => otherWay(coffee, factsOf(primary, names, coffee)));
  if (close.length > 0)
    parts.push(`${coffeeNames(close)} ${close.length === 1 ? "stays" : "stay"} within the margin`);
  return parts.join("; ");
}

const coffeeNames = (coffees: readonly CoffeeFinding[]) => listed(coffees.map(({ name }) => name));

export interface FaultFacts {
  fault: SoundnessFault;
  conduct: ConductFinding;
  brewers: BrewerFinding;
  control: ControlFinding | null;
  names: SampleFacts["names"];
}

/** Why a test is not sound. */
export function faultSentence({ fault, conduct, brewers, control, names }: FaultFacts): string {
  switch (fault) {
    case "blind-broke": {
      const answers = Math.max(0, ...conduct.openedEarly.map(({ answersAfter }) => answersAfter));
      return `The key was open before ${counted(answers, "answer was", "answers were")} given, so these were not blind.`;
    }
    case "brewers-not-swapped":
      return `${whoBrewed(brewers, names)}, and ${brewersDiffer(brewers)}; what was found may be the brewer.`;
    case "controls-differ":
      return control
        ? `Hidden pairs that held no difference were told apart as much as the treatments (${controlNumber(control)}).`
        : "Hidden pairs that held no difference were told apart as much as the treatments.";
  }
}

function whoBrewed({ brewers }: BrewerFinding, names: SampleFacts["names"]): string {
  return listed(
    brewers.map(
      ({ brewer, potsOfA, potsOfB }) =>
        `${brewer} brewed ${counted(potsOfA, "pot")} of ${names.A} and ${potsOfB} of ${names.B}`,
    ),
  );
}

function brewersDiffer({ differBy }: BrewerFinding): string {
  switch (differBy) {
    case "control-pairs":
      return "hidden pairs of pots brewed alike were told apart too";
    case "yield":
      return "their yields differ";
    case "brew-time":
      return "their brew times differ";
    case "treatments-confounded":
    case null:
      return "the two can't be told from the treatments";
  }
}

function controlNumber({ method, count, answers, chance, size }: ControlFinding): string {
  const isPair = method === null || method === "paired-comparison";
  if (!isPair && count !== null) return `${count} of ${answers} ${rightAnswers[method]}`;
  return chance === null
    ? `${(size ?? 0).toFixed(1)} points apart on average`
    : `a lean of ${percent(size ?? 0)} on average`;
}
