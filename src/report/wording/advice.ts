import type { EndpointFinding } from "../endpoint-finding.ts";
import type { Advice, Headline } from "../findings.ts";
import { leader, type SampleFacts } from "./facts.ts";
import { listed } from "./numbers.ts";

/** What to do next, in one or two sentences. */
export function adviceSentence(
  advice: Advice,
  headline: Headline,
  primary: EndpointFinding,
  names: SampleFacts["names"],
): string {
  switch (advice) {
    case "roll-out":
      return rollOut(primary, names);
    case "limit":
      return limit(primary, names);
    case "stop":
      return headline === "close-enough"
        ? closeEnough(primary, names)
        : `Stop: keep ${names.A}, which people prefer.`;
    case "repeat":
      return repeat(headline, primary, names);
  }
}

function rollOut(primary: EndpointFinding, names: SampleFacts["names"]): string {
  const more = leader(primary) === "B" ? "more" : "less";
  switch (primary.kind) {
    case "preference":
      return `Roll out ${names.B}: people prefer it, brew after brew.`;
    case "extraction-yield":
      return `Roll out ${names.B} if ${more} extraction is what you want.`;
    case "attribute-difference":
    case "direction":
    case "attribute-score":
    case "overall-difference":
      return `Roll out ${names.B} if ${more} ${primary.attribute ?? "of it"} is what you want.`;
  }
}

function limit(primary: EndpointFinding, names: SampleFacts["names"]): string {
  const excepted = primary.coffees.filter(({ exception }) => exception !== null);
  const shown = primary.coffees.filter(({ difference }) => difference.shown);
  if (primary.shownBy === "coffees") {
    return `Limit the change to ${names.B} to ${namesOf(shown)}.`;
  }
  return `Limit the change to ${names.B}: leave out ${namesOf(excepted)}.`;
}

function closeEnough(primary: EndpointFinding, names: SampleFacts["names"]): string {
  const scope =
    primary.kind === "extraction-yield"
      ? ""
      : " This holds for the cups that were served; another brew pair can differ more.";
  return `Stop here: the cup gives no reason to change; choose ${names.A} or ${names.B} by cost and ease.${scope}`;
}

function repeat(headline: Headline, primary: EndpointFinding, names: SampleFacts["names"]): string {
  switch (headline) {
    case "not-sound":
      return "Repeat it with the fault mended; change nothing on the strength of this session.";
    case "not-settled":
    case "close-enough":
      return "Repeat it with more, as the numbers below say; change nothing yet.";
    case "different":
    case "different-for-some":
      if (primary.process.status === "no-control-pairs") return WITH_CONTROL_PAIRS;
      return primary.process.status === "shown"
        ? `The treatment reaches the cup, but telling cups apart doesn't say which is better: ask whether people prefer ${names.A} or ${names.B} before you change anything.`
        : "Don't roll out yet: these cups differ, but pots differ by themselves too. Repeat it over more brew pairs.";
  }
}

const WITH_CONTROL_PAIRS =
  "Don't roll out yet: these cups differ, but pots differ by themselves too. Repeat it over more brew pairs with hidden pairs of pots brewed alike among them, which show by how much.";

const namesOf = (coffees: readonly { name: string }[]) => listed(coffees.map(({ name }) => name));
