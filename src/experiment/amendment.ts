import type { Plan } from "./plan.ts";
import type { SessionState } from "./session.ts";
import { translated } from "./translations.ts";

/** One part of a plan before and after, in words. */
export interface PlanChange {
  part: string;
  before: string;
  after: string;
}

/** What decides whether a sealed plan may be amended, and how. */
export interface AmendmentSituation {
  state: SessionState;
  /** Other sessions of the experiment are sealed under the plan. */
  planShared: boolean;
  /** Somebody has read the consent text and sat down. */
  joined: boolean;
  /** Tasters, brews or incidents hang on the kit that was drawn. */
  kitInUse: boolean;
  /** The amended plan serves other cups, so that a new kit must be drawn. */
  kitChanges: boolean;
  before: Plan;
  after: Plan;
}

export type AmendmentRefusal =
  | "not-sealed"
  | "too-late"
  | "plan-shared"
  | "nothing-changed"
  | "consent-given"
  | "kit-in-use";

export type AmendmentOutcome =
  | { ok: true; kit: "kept" | "drawn-anew"; changes: PlanChange[] }
  | { ok: false; refusal: AmendmentRefusal };

/**
 * Whether a sealed plan may be amended: until the session opens, and so before the first ballot; never
 * after. What tasters agreed to stays once anyone has sat down, and so does a kit that is in use.
 */
export function admitAmendment(situation: AmendmentSituation): AmendmentOutcome {
  const { state, before, after } = situation;
  if (state === "draft") return { ok: false, refusal: "not-sealed" };
  if (state !== "sealed") return { ok: false, refusal: "too-late" };
  if (situation.planShared) return { ok: false, refusal: "plan-shared" };
  const changes = planChanges(before, after);
  if (changes.length === 0) return { ok: false, refusal: "nothing-changed" };
  if (situation.kitChanges && situation.kitInUse) return { ok: false, refusal: "kit-in-use" };
  if (situation.joined && consentOf(before) !== consentOf(after)) {
    return { ok: false, refusal: "consent-given" };
  }
  return { ok: true, kit: situation.kitChanges ? "drawn-anew" : "kept", changes };
}

/** Every part in which two plans differ, in the order of the plan. */
export function planChanges(before: Plan, after: Plan): PlanChange[] {
  const [old, changed] = [leaves(before, []), leaves(after, [])];
  const parts = [...new Set([...old.keys(), ...changed.keys()])];
  return parts
    .map((part) => ({
      part,
      before: old.get(part) ?? NOTHING,
      after: changed.get(part) ?? NOTHING,
    }))
    .filter((change) => change.before !== change.after);
}

/** The part of a plan that the consent text is made of. */
function consentOf({
  substances,
  allergens = [],
  consentNotes = {},
  translations = {},
  recipe,
}: Plan): string {
  const { millilitresPerCup, servingTemperatureCelsius } = recipe;
  const notes = Object.entries(consentNotes).toSorted();
  const words = Object.keys(translations).flatMap((language) =>
    [...substances, ...allergens]
      .map((word) => [language, word, translated(translations, language, word)])
      .filter(([, word, other]) => other !== word),
  );
  const serving = [millilitresPerCup, servingTemperatureCelsius];
  return JSON.stringify([substances, allergens, words, notes, serving]);
}

const NOTHING = "nothing";

function leaves(value: unknown, path: readonly string[]): Map<string, string> {
  if (Array.isArray(value) && value.every((item) => typeof item === "object" && item !== null)) {
    return new Map(value.flatMap((item) => [...leaves(item, [...path, nameIn(item)])]));
  }
  if (typeof value === "object" && value !== null && !Array.isArray(value)) {
    return new Map(
      Object.entries(value).flatMap(([name, part]) => [
        ...leaves(part, [...path, partNames[name] ?? name]),
      ]),
    );
  }
  return new Map([[path.join(", "), textOf(value)]]);
}

/** Coffees and questions are told apart by their ids. */
function nameIn(item: object): string {
  return "id" in item ? String(item.id) : "";
}

function textOf(value: unknown): string {
  if (Array.isArray(value)) return value.length === 0 ? NOTHING : value.join(", ");
  if (typeof value === "boolean") return value ? "yes" : "no";
  return value === null || value === "" ? NOTHING : String(value);
}

/** A plan's fields as people call them; those that are words already stay as they are. */
const partNames: Readonly<Record<string, string>> = {
  treatments: "treatment",
  mineralsInReadingMilligramsPerLitre: "minerals when its strength is read, mg/L",
  addedIons: "ions added, mg/L",
  coffees: "coffee",
  endpoints: "question",
  expected: "expected to have more",
  lowAnchor: "low end of the scale",
  highAnchor: "high end of the scale",
  coffeeClaims: "naming single coffees",
  spareSeats: "spare seats",
  brewPairsPerCoffee: "brew pairs per coffee",
  replicates: "repeats",
  controls: "hidden controls",
  samePot: "same-pot sets per taster",
  sameTreatmentPairsPerCoffee: "same-treatment pairs per coffee",
  coffeeOrder: "order of the coffees",
  cannotTellAllowed: "“can’t tell” allowed",
  doseGrams: "dose, g",
  brewWaterGrams: "brew water, g",
  millilitresPerCup: "poured per cup, mL",
  servingTemperatureCelsius: "served at, °C",
  palateRestSeconds: "rest between sets, s",
  servingFromMinutes: "too hot before, min from pouring",
  windowMinutes: "serving window, min",
  brewLimits: "brew limits",
  brewSeconds: "brew time, s",
  tdsSpreadPercent: "spread of strength readings, % TDS",
  exclusionRule: "exclusion rule",
  consentNotes: "added to the consent text",
  translations: "words in other languages",
};
