import { type Plan, planSchema } from "../../src/experiment/plan.ts";
import type { Translations } from "../../src/experiment/translations.ts";
import { type FieldErrors, formOf, numberFrom, textOf } from "../form.ts";
import type { Draft } from "../store/experiments.ts";
import { ionsFrom, ionText } from "./ion-text.ts";
import { draftQuestions, readQuestions, type TypedQuestion } from "./question-rows.ts";

export type PlanReading = { ok: true; plan: Plan } | { ok: false; errors: FieldErrors };

const MINERALS = "mineralsInReadingMilligramsPerLitre";
const ADDED_IONS = "addedIons";
const CONSENT_NOTES = "consentNotes";
const TRANSLATIONS = "translations";

const numberFields = {
  counts: ["tasters", "spareSeats", "brewPairsPerCoffee", "replicates"],
  recipe: ["doseGrams", "brewWaterGrams", "millilitresPerCup", "servingTemperatureCelsius"],
  brewLimits: ["doseGrams", "brewWaterGrams", "brewSeconds", "tdsSpreadPercent"],
  serving: ["palateRestSeconds", "servingFromMinutes", "windowMinutes"],
  controls: ["samePot", "sameTreatmentPairsPerCoffee"],
} as const;

/**
 * Reads a plan form: the plan, or what is wrong by form field. A field's name is its path in the
 * plan, save for lists (one entry a line) and questions (a prefix a question).
 */
export function readPlan(draft: Draft): PlanReading {
  const questions = readQuestions(draft);
  const parsed = planSchema.safeParse(typedPlan(draft, questions));
  const slips = marginSlips(draft, questions);
  if (parsed.success && Object.keys(slips).length === 0) return { ok: true, plan: parsed.data };
  const errors: Record<string, string> = {};
  for (const issue of parsed.error?.issues ?? []) {
    const { field, message } = atField(issue.path, issue.message, questions);
    errors[field] ??= message;
  }
  return { ok: false, errors: { ...errors, ...slips } };
}

/** The plan form as it is kept: every text field of the body. */
export function draftFrom(body: unknown): Draft {
  const form = formOf(body);
  const names = Object.keys(form).filter((name) => name !== "_csrf" && name !== "version");
  return Object.fromEntries(names.map((name) => [name, textOf(form, name)]));
}

/** The form that reads as this plan. */
export function draftOf(plan: Plan): Draft {
  const { treatments, recipe, brewLimits, controls } = plan;
  return {
    title: plan.title,
    question: plan.question,
    hypothesis: plan.hypothesis,
    ...prefixed("treatments.A", treatmentDraft(treatments.A)),
    ...prefixed("treatments.B", treatmentDraft(treatments.B)),
    coffees: plan.coffees.map(({ name, roast }) => (roast ? `${name}, ${roast}` : name)).join("\n"),
    brewers: plan.brewers.join("\n"),
    substances: plan.substances.join("\n"),
    allergens: (plan.allergens ?? []).join("\n"),
    ...draftQuestions(plan.endpoints),
    ...prefixed("controls", controls),
    ...prefixed("recipe", recipe),
    ...prefixed("brewLimits", brewLimits ?? {}),
    ...prefixed("serving", plan.serving ?? {}),
    ...Object.fromEntries(numberFields.counts.map((name) => [name, String(plan[name])])),
    alpha: String(plan.alpha),
    coffeeClaims: plan.coffeeClaims,
    coffeeOrder: plan.coffeeOrder,
    cannotTellAllowed: plan.cannotTellAllowed ? "yes" : "",
    exclusionRule: plan.exclusionRule,
    ...prefixed(CONSENT_NOTES, plan.consentNotes ?? {}),
    ...prefixed(TRANSLATIONS, translationLines(plan.translations ?? {})),
  };
}

function typedPlan(draft: Draft, questions: readonly TypedQuestion[]): unknown {
  const text = (name: string) => draft[name] ?? "";
  const numbers = (prefix: string, names: readonly string[]) =>
    Object.fromEntries(names.map((name) => [name, typedNumber(text(`${prefix}${name}`))]));
  const limits = numberFields.brewLimits.map((name) => text(`brewLimits.${name}`).trim());
  return {
    title: text("title"),
    question: text("question"),
    hypothesis: text("hypothesis"),
    treatments: { A: typedTreatment(draft, "A"), B: typedTreatment(draft, "B") },
    coffees: lines(text("coffees")).map(typedCoffee),
    brewers: lines(text("brewers")),
    substances: lines(text("substances")),
    endpoints: questions.map(({ endpoint }) => endpoint),
    ...numbers("", numberFields.counts),
    controls: numbers("controls.", numberFields.controls),
    recipe: numbers("recipe.", numberFields.recipe),
    brewLimits: limits.join("") === "" ? null : numbers("brewLimits.", numberFields.brewLimits),
    alpha: typedNumber(text("alpha")),
    coffeeClaims: text("coffeeClaims"),
    coffeeOrder: text("coffeeOrder"),
    cannotTellAllowed: text("cannotTellAllowed") === "yes",
    exclusionRule: text("exclusionRule"),
    ...typedAllergens(text("allergens")),
    ...typedServing(draft),
    ...typedConsentNotes(draft),
    ...typedTranslations(draft),
  };
}

/** The allergens; nothing at all where there are none, so that older plans keep their hash. */
function typedAllergens(text: string): { allergens?: string[] } {
  const allergens = lines(text);
  return allergens.length === 0 ? {} : { allergens };
}

/** What was typed of the pace; nothing at all where it stays open, so that older plans keep their hash. */
function typedServing(draft: Draft) {
  const typed = numberFields.serving
    .map((name) => [name, (draft[`serving.${name}`] ?? "").trim()] as const)
    .filter(([, text]) => text !== "")
    // Text that is no number goes to the schema as it is, which says what to give.
    .map(([name, text]) => [name, typedNumber(text) ?? text] as const);
  return typed.length === 0 ? {} : { serving: Object.fromEntries(typed) };
}

/** The notes by language; nothing at all where every one is empty, so that older plans keep their hash. */
function typedConsentNotes(draft: Draft) {
  const typed = Object.entries(draft)
    .filter(([name, text]) => name.startsWith(`${CONSENT_NOTES}.`) && text.trim() !== "")
    .map(([name, text]) => [name.slice(CONSENT_NOTES.length + 1), text] as const);
  return typed.length === 0 ? {} : { [CONSENT_NOTES]: Object.fromEntries(typed) };
}

/** The words by language, one a line; nothing at all where every one is empty. */
function typedTranslations(draft: Draft) {
  const typed = Object.entries(draft)
    .filter(([name, text]) => name.startsWith(`${TRANSLATIONS}.`) && text.trim() !== "")
    .map(([name, text]) => [name.slice(TRANSLATIONS.length + 1), wordPairs(text)] as const);
  return typed.length === 0 ? {} : { [TRANSLATIONS]: Object.fromEntries(typed) };
}

/** `brightness = Helligkeit` on every line; text that isn't so goes to the schema as it is. */
function wordPairs(text: string): Record<string, string> | string {
  const pairs = lines(text).map((line) => line.split("=").map((word) => word.trim()));
  if (pairs.some(([word, , more]) => word === "" || more !== undefined)) return text;
  if (pairs.some(({ length }) => length < 2)) return text;
  return Object.fromEntries(pairs.map(([word = "", other = ""]) => [word, other]));
}

function translationLines(translations: Translations): Record<string, string> {
  return Object.fromEntries(
    Object.entries(translations).map(([language, words]) => [
      language,
      Object.entries(words)
        .map((pair) => pair.join(" = "))
        .join("\n"),
    ]),
  );
}

function typedTreatment(draft: Draft, treatment: "A" | "B") {
  const text = (name: string) => draft[`treatments.${treatment}.${name}`] ?? "";
  const minerals = text(MINERALS).trim();
  const ions = text(ADDED_IONS).trim();
  return {
    name: text("name"),
    description: text("description"),
    [MINERALS]: minerals === "" ? 0 : typedNumber(minerals),
    // Text that names no ions goes to the schema as it is, which says how to write them.
    ...(ions === "" ? {} : { [ADDED_IONS]: ionsFrom(ions) ?? ions }),
  };
}

function treatmentDraft({ addedIons, ...treatment }: Plan["treatments"]["A"]) {
  return { ...treatment, [ADDED_IONS]: addedIons === undefined ? "" : ionText(addedIons) };
}

/** `Sallow, very light`: the name, and after the first comma the roast. */
function typedCoffee(line: string, at: number) {
  const [name = "", ...roast] = line.split(",");
  return { id: `c${at + 1}`, name: name.trim(), roast: roast.join(",").trim() };
}

function typedNumber(text: string): number | undefined {
  return numberFrom(text) ?? undefined;
}

function lines(text: string): string[] {
  return text
    .split(/\r?\n/)
    .map((line) => line.trim())
    .filter((line) => line !== "");
}

function atField(
  path: readonly PropertyKey[],
  message: string,
  questions: readonly TypedQuestion[],
): { field: string; message: string } {
  const [list, index, ...rest] = path;
  const ions = path.indexOf(ADDED_IONS);
  // A language's words are typed into one field.
  if (list === TRANSLATIONS) return { field: path.slice(0, 2).join("."), message };
  if (ions >= 0) {
    return { field: path.slice(0, ions + 1).join("."), message: mended(path, message) };
  }
  if (typeof index !== "number") return { field: path.join("."), message: mended(path, message) };
  const question = list === "endpoints" ? questions[index] : undefined;
  if (question !== undefined) return { field: [question.prefix, ...rest].join("."), message };
  return { field: String(list), message: `Line ${index + 1}: ${message}` };
}

/** Says of which treatment, and what the one number of the schema without words of its own may be. */
function mended(path: readonly PropertyKey[], message: string): string {
  const [list, treatment] = path;
  const words = path.at(-1) === MINERALS ? "Give 0 to 5000 mg/L, or leave it empty" : message;
  return list === "treatments" && treatment !== undefined
    ? `Treatment ${String(treatment)}: ${words}`
    : words;
}

/** A margin of 0.3 typed where percent are asked is nearly always a slip for 30. */
function marginSlips(draft: Draft, questions: readonly TypedQuestion[]): FieldErrors {
  const slips = questions
    .filter(({ prefix }) => !prefix.startsWith("score.") && prefix !== "yield")
    .map(({ prefix }) => [`${prefix}.margin`, numberFrom(draft[`${prefix}.margin`] ?? "")] as const)
    .filter(([, percent]) => percent !== null && percent > 0 && percent < 1)
    .map(([field, percent]) => [
      field,
      `${percent} % is less than one taster in a hundred; type 30 for 30 %`,
    ]);
  return Object.fromEntries(slips);
}

function prefixed(prefix: string, values: object): Draft {
  return Object.fromEntries(
    Object.entries(values).map(([name, value]) => [`${prefix}.${name}`, String(value)]),
  );
}
