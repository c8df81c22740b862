import { consentLanguages } from "../consent-languages.ts";
import { type FieldErrors, fieldMaker } from "../form.ts";
import type { Draft } from "../store/experiments.ts";
import { questionFields } from "./question-fields.ts";
import { selectMaker } from "./select.ts";

const MINERALS = "mineralsInReadingMilligramsPerLitre";

/** Every field of the plan form, in the order of the job. */
export function planFields(draft: Draft, errors: FieldErrors) {
  return {
    aim: aimFields(draft, errors),
    treatments: treatmentFields(draft, errors),
    coffees: coffeeFields(draft, errors),
    questions: questionFields(draft, errors),
    questionsError: errors.endpoints ?? null,
    decision: decisionFields(draft, errors),
    panel: panelFields(draft, errors),
    brewing: brewingFields(draft, errors),
    consentNotes: consentFields(draft, errors),
    translations: translationFields(draft, errors),
  };
}

/** One text for each language that tasters may read in. */
function consentFields(draft: Draft, errors: FieldErrors) {
  const field = fieldMaker(draft, errors);
  return consentLanguages().map(({ tag, name }) =>
    field(`consentNotes.${tag}`, `Added to the consent text, ${name}`, { type: "long" }),
  );
}

/** The lead's own words in each of these languages. */
function translationFields(draft: Draft, errors: FieldErrors) {
  const field = fieldMaker(draft, errors);
  return consentLanguages().map(({ tag, name }) =>
    field(`translations.${tag}`, `Your words in ${name}`, { type: "long" }),
  );
}

function aimFields(draft: Draft, errors: FieldErrors) {
  const field = fieldMaker(draft, errors);
  return [
    field("title", "Name of the experiment", { hint: "For your own list. Tasters never see it." }),
    field("question", "The question", {
      type: "long",
      hint: "One sentence: does this change, against what we do now, make a difference worth changing the bar for? For example: “Do minerals added after brewing taste brighter than the same minerals in the brew water?”",
    }),
    field("hypothesis", "What you expect (hypothesis)", { type: "long" }),
  ];
}

function treatmentFields(draft: Draft, errors: FieldErrors) {
  const field = fieldMaker(draft, errors);
  const treatment = (letter: "A" | "B", usual: string) => ({
    letter,
    fields: [
      field(`treatments.${letter}.name`, `Name of treatment ${letter}`, { hint: usual }),
      field(`treatments.${letter}.description`, "How it is made, exactly", { type: "long" }),
      field(`treatments.${letter}.${MINERALS}`, "Minerals in the cup when its strength is read", {
        type: "decimal",
        hint: "In mg/L; they lift the reading and are taken off before extraction is computed. Empty if none.",
      }),
      field(`treatments.${letter}.addedIons`, "Ions added, in the finished cup", {
        hint: "In mg/L, for example: Mg 12, HCO3 40, Cl 35; write none where nothing is added. May stay empty; with it, experiments that share an ion can be read together.",
      }),
    ],
  });
  return {
    pair: [treatment("A", "What you do now"), treatment("B", "The change")],
    substances: field("substances", "Every substance that any cup may hold", {
      type: "long",
      hint: "One a line, besides coffee and water. Tasters read the whole list before they agree to taste, never which cup holds what.",
    }),
    allergens: field("allergens", "Allergens that any cup may hold", {
      type: "long",
      hint: "One a line, such as milk or nuts, from the cups, what is served beside them or what they are made with. Tasters read them before anything else. Empty when there are none.",
    }),
  };
}

function coffeeFields(draft: Draft, errors: FieldErrors) {
  const field = fieldMaker(draft, errors);
  const select = selectMaker(draft, errors);
  return {
    coffees: field("coffees", "Coffees, one a line", {
      type: "long",
      hint: "Add the roast after a comma if you like: Sallow, very light. Every comparison stays within one coffee.",
    }),
    claims: select("coffeeClaims", "Naming a coffee that behaves differently", [
      ["after-overall", "Only after a difference was found overall"],
      ["split-alpha", "In any case, with alpha split in two"],
    ]),
    order: select("coffeeOrder", "Order of the coffees", [
      ["rounds", "All taste the same coffee at the same time, pots fresh"],
      ["balanced", "Each taster has an own order, balanced over the panel (Williams)"],
    ]),
  };
}

function decisionFields(draft: Draft, errors: FieldErrors) {
  const field = fieldMaker(draft, errors);
  return {
    alpha: field("alpha", "Risk of calling luck a difference (alpha)", {
      type: "decimal",
      hint: "0.05 is usual: one time in twenty when there is nothing.",
    }),
    exclusionRule: field("exclusionRule", "What will be left out (exclusions)", {
      type: "long",
      hint: "Decided now, so that nobody can choose after seeing the answers.",
    }),
  };
}

function panelFields(draft: Draft, errors: FieldErrors) {
  const field = fieldMaker(draft, errors);
  const whole = (name: string, label: string, hint: string) =>
    field(name, label, { type: "whole", hint });
  return {
    numbers: [
      whole("tasters", "Tasters", "How many will surely sit down."),
      whole("spareSeats", "Spare seats", "For those who turn up anyway."),
      whole(
        "brewPairsPerCoffee",
        "Brew pairs per coffee",
        "Pots are what a claim about the process counts: plan 6 or more over all coffees.",
      ),
      whole("replicates", "Repeats", "Times each taster meets the same pair. Not new tasters."),
      whole(
        "controls.samePot",
        "Hidden same-pot sets per taster",
        "All cups from one pot: shows how often people find nothing.",
      ),
      whole(
        "controls.sameTreatmentPairsPerCoffee",
        "Hidden same-treatment pairs per coffee",
        "Two pots made alike: shows how much pots differ anyway. A process claim from right and wrong answers (all methods with three or four cups) needs them.",
      ),
    ],
    cannotTellAllowed: (draft.cannotTellAllowed ?? "") === "yes",
  };
}

function brewingFields(draft: Draft, errors: FieldErrors) {
  const field = fieldMaker(draft, errors);
  const number = (name: string, label: string) => field(name, label, { type: "decimal" });
  const pace = (name: string, label: string) =>
    field(name, label, { type: "whole", hint: "May stay empty." });
  return {
    brewers: field("brewers", "Brewers, one a line", {
      type: "long",
      hint: "With two or more, treatments are swapped across them within each coffee.",
    }),
    recipe: [
      number("recipe.doseGrams", "Dose, g"),
      number("recipe.brewWaterGrams", "Brew water, g"),
      number("recipe.millilitresPerCup", "Poured per cup, mL"),
      number("recipe.servingTemperatureCelsius", "Served at, °C"),
      pace("serving.windowMinutes", "Serving window, minutes from pouring"),
      pace("serving.palateRestSeconds", "Rest between sets, seconds"),
    ],
    limits: [
      number("brewLimits.doseGrams", "Dose, ± g"),
      number("brewLimits.brewWaterGrams", "Brew water, ± g"),
      number("brewLimits.brewSeconds", "Brew time, ± s"),
      number("brewLimits.tdsSpreadPercent", "Spread of strength readings, % TDS"),
    ],
  };
}
