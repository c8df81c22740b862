import type { Endpoint, EndpointRole, Treatment } from "../../src/experiment/endpoint.ts";
import { brewPairs, type Plan } from "../../src/experiment/plan.ts";
import { ionText } from "./ion-text.ts";

/** A plan read back: what is decided, under headings in the order of the job. */
export interface PlanInWords {
  question: string;
  hypothesis: string | null;
  treatments: { letter: Treatment; name: string; description: string }[];
  questions: { name: string; role: string; details: string }[];
  facts: { term: string; text: string }[];
}

/** Reads a plan back in plain words, for the lead alone: it names the treatments. */
export function planInWords(plan: Plan): PlanInWords {
  return {
    question: plan.question,
    hypothesis: plan.hypothesis === "" ? null : plan.hypothesis,
    treatments: [
      { letter: "A", ...named(plan.treatments.A) },
      { letter: "B", ...named(plan.treatments.B) },
    ],
    questions: plan.endpoints.map((endpoint) => ({
      name: questionName(endpoint),
      role: roleName(endpoint.role),
      details: questionDetails(endpoint, plan),
    })),
    facts: [
      { term: "Coffees", text: coffeeNames(plan) },
      { term: "Panel", text: panelText(plan) },
      { term: "Pots", text: potText(plan) },
      { term: "Hidden controls", text: controlText(plan) },
      { term: "Recipe", text: recipeText(plan) },
      { term: "Strength readings", text: readingText(plan) },
      { term: "Brewed again when", text: limitText(plan) },
      { term: "May be in any cup", text: listed(plan.substances, "nothing but coffee and water") },
      { term: "Allergens declared", text: listed(plan.allergens ?? [], "none") },
      { term: "Alpha", text: alphaText(plan) },
      { term: "Left out", text: plan.exclusionRule || "nothing" },
      { term: "Added to the consent text", text: consentText(plan) },
      { term: "Words in other languages", text: translationText(plan) },
    ],
  };
}

/** A question as people say it. */
export function questionName(endpoint: Endpoint): string {
  switch (endpoint.kind) {
    case "overall-difference":
      return `Can anyone tell them apart? (${endpoint.method})`;
    case "attribute-difference":
      return `Which of three has the most ${endpoint.attribute}? (3-AFC)`;
    case "direction":
      return `Which has more ${endpoint.attribute}? (paired comparison)`;
    case "preference":
      return "Which is liked better? (paired preference)";
    case "attribute-score":
      return `How strong is ${endpoint.attribute}? (line scale)`;
    case "extraction-yield":
      return "Does extraction change? (extraction yield)";
  }
}

/** A question's weight as people say it. */
export function roleName(role: EndpointRole): string {
  return { primary: "main question", secondary: "supporting", exploratory: "exploratory" }[role];
}

/** A margin with its unit. */
export function marginText(endpoint: Endpoint): string {
  switch (endpoint.kind) {
    case "overall-difference":
    case "attribute-difference":
    case "direction":
    case "preference":
      return `${Number((endpoint.margin * 100).toPrecision(12))} % of people noticing`;
    case "attribute-score":
      return `${endpoint.margin} points of the scale`;
    case "extraction-yield":
      return `${endpoint.margin} points of extraction yield`;
  }
}

/** A difference as large as the margin, as the subject of a sentence. */
export function ifTrue(endpoint: Endpoint): string {
  const isScore = endpoint.kind === "attribute-score" || endpoint.kind === "extraction-yield";
  return isScore
    ? `a true difference of ${marginText(endpoint)}`
    : `a difference that ${marginText(endpoint).replace("noticing", "truly notice")}`;
}

/** `1 brew pair`, `6 brew pairs`. */
export function counted(count: number, one: string, many = `${one}s`): string {
  return `${count} ${count === 1 ? one : many}`;
}

function named({ name, description, addedIons }: Plan["treatments"]["A"]) {
  const ions = addedIons === undefined ? "" : `Ions added in the cup, mg/L: ${ionText(addedIons)}.`;
  return { name, description: [description, ions].filter((part) => part !== "").join(" ") };
}

function questionDetails(endpoint: Endpoint, plan: Plan): string {
  const margin = `Too small to matter: up to ${marginText(endpoint)}.`;
  if (endpoint.kind === "attribute-score") {
    return `From ${endpoint.lowAnchor} to ${endpoint.highAnchor}. ${margin}`;
  }
  if (endpoint.kind === "overall-difference" && endpoint.reference !== undefined) {
    return `${referenceText(endpoint.reference, plan)} ${margin}`;
  }
  if (endpoint.kind !== "direction" && endpoint.kind !== "attribute-difference") return margin;
  if (endpoint.expected === null) return `Either way (two-sided). ${margin}`;
  const name = plan.treatments[endpoint.expected].name;
  return `Expected beforehand: ${name} has more (one-sided). ${margin}`;
}

function referenceText(reference: "balanced" | Treatment, { treatments }: Plan): string {
  return reference === "balanced"
    ? "Either treatment is the reference in turn."
    : `The reference is always ${treatments[reference].name}.`;
}

function coffeeNames(plan: Plan): string {
  return plan.coffees.map(({ name, roast }) => (roast ? `${name} (${roast})` : name)).join(", ");
}

function panelText(plan: Plan): string {
  const order =
    plan.coffeeOrder === "rounds"
      ? "all taste one coffee at the same time"
      : "each in an own order of coffees";
  const repeats = plan.replicates === 1 ? "each pair once" : `each pair ${plan.replicates} times`;
  const cannotTell = plan.cannotTellAllowed ? "; “can't tell” is allowed on pairs" : "";
  return `${counted(plan.tasters, "taster")} and ${counted(plan.spareSeats, "spare seat")}; ${repeats}; ${order}${cannotTell}`;
}

function potText(plan: Plan): string {
  const pairs = counted(brewPairs(plan), "brew pair");
  return `${pairs}, ${plan.brewPairsPerCoffee} per coffee, on ${listed(plan.brewers, "")}`;
}

function controlText({ controls }: Plan): string {
  const { samePot, sameTreatmentPairsPerCoffee: pairs } = controls;
  const parts = [
    samePot > 0 ? `${counted(samePot, "set")} per taster from a single pot` : "",
    pairs > 0 ? `${counted(pairs, "pair")} per coffee of two pots made alike` : "",
  ];
  return listed(
    parts.filter((part) => part !== ""),
    "none",
  );
}

function recipeText({ recipe, serving }: Plan): string {
  return `${recipe.doseGrams} g of coffee to ${recipe.brewWaterGrams} g of water; ${recipe.millilitresPerCup} mL per cup, served at ${recipe.servingTemperatureCelsius} °C${paceText(serving)}`;
}

/** The pace of serving, as the end of a sentence; empty where the plan leaves it open. */
function paceText(serving: Plan["serving"] = {}): string {
  const window = windowText(serving);
  const rest = restText(serving);
  return (window && `, ${window}`) + (rest && `; ${rest}`);
}

/** The pace of serving as a sentence of its own; null where the plan leaves it open. */
export function paceSentence(serving: Plan["serving"] = {}): string | null {
  const window = windowText(serving);
  const parts = [window && `cups are served ${window}`, restText(serving)].filter(Boolean);
  const [first = ""] = parts;
  return first === "" ? null : `${first.charAt(0).toUpperCase()}${parts.join("; ").slice(1)}.`;
}

function restText({ palateRestSeconds }: NonNullable<Plan["serving"]>): string {
  return palateRestSeconds === undefined ? "" : `${palateRestSeconds} s of rest between sets`;
}

function windowText({ servingFromMinutes, windowMinutes }: NonNullable<Plan["serving"]>): string {
  if (servingFromMinutes === undefined) {
    return windowMinutes === undefined ? "" : `within ${windowMinutes} min of pouring`;
  }
  return windowMinutes === undefined
    ? `from ${servingFromMinutes} min after pouring on`
    : `between ${servingFromMinutes} and ${windowMinutes} min after pouring`;
}

/** What is in the cup when its strength is read, which is taken off before extraction is computed. */
function readingText({ treatments }: Plan): string {
  const [inA, inB] = [treatments.A, treatments.B].map(
    (treatment) => treatment.mineralsInReadingMilligramsPerLitre,
  );
  if (inA === 0 && inB === 0) {
    return "taken before minerals are added, or of cups without any: nothing is taken off";
  }
  const read = (letter: Treatment, milligrams = 0) =>
    milligrams === 0
      ? `${letter} without added minerals`
      : `${letter} with ${milligrams} mg/L of added minerals in it, which are taken off`;
  return `${read("A", inA)}; ${read("B", inB)}`;
}

function limitText({ brewLimits }: Plan): string {
  if (brewLimits === null) return "a fault is recorded; no limits are set";
  const { doseGrams, brewWaterGrams, brewSeconds, tdsSpreadPercent } = brewLimits;
  return `dose is off by more than ${doseGrams} g, water by ${brewWaterGrams} g or time by ${brewSeconds} s, or strength readings spread over more than ${tdsSpreadPercent} % TDS`;
}

function alphaText({ alpha, coffeeClaims }: Plan): string {
  const split =
    coffeeClaims === "split-alpha"
      ? "split between all coffees together and single coffees"
      : "single coffees are named only after a difference overall";
  return `${alpha}; ${split}`;
}

function consentText({ consentNotes = {} }: Plan): string {
  const notes = Object.entries(consentNotes).map(([language, note]) => `${language}: ${note}`);
  return notes.length === 0 ? "nothing" : notes.join(" · ");
}

function translationText({ translations = {} }: Plan): string {
  const own = Object.entries(translations).map(
    ([language, words]) =>
      `${language}: ${Object.entries(words)
        .map((pair) => pair.join(" = "))
        .join(", ")}`,
  );
  return own.length === 0 ? "none; tasters read them as written" : own.join(" · ");
}

function listed(items: readonly string[], none: string): string {
  return items.length === 0 ? none : items.join(", ");
}
