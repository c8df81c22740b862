import { unitSymbols } from "../../src/water/entry-units.ts";
import { ionNames } from "../../src/water/ions.ts";
import { saltLabel, saltNames, saltTable } from "../../src/water/salts.ts";
import { errorSummary, type FieldErrors, fieldMaker } from "../form.ts";
import { armChoices, choices, doseChoices, targetChoices, wayChoices } from "./match-choices.ts";
import { type MatchDraft, unitsOf } from "./match-draft.ts";

type FieldOf = ReturnType<typeof fieldMaker>;

/** The match form as the template draws it, with what was typed and what was wrong. */
export function matchForm(draft: MatchDraft, errors: FieldErrors) {
  const field = fieldMaker(draft, errors);
  const symbols = unitSymbols[unitsOf(draft)];
  const decimal = (name: string, label: string, hint?: string) =>
    field(name, label, hint === undefined ? { type: "decimal" } : { type: "decimal", hint });
  return {
    errors: errorSummary(errors),
    units: unitsOf(draft),
    otherUnits: unitsOf(draft) === "us" ? "g, mL and °C" : "oz, fl oz and °F",
    brew: [
      decimal("doseGrams", `Coffee, ${symbols.mass}`),
      decimal("brewWaterGrams", `Brew water, ${symbols.mass}`),
      decimal("beverageGrams", `Beverage of a trial brew, ${symbols.mass}`, "Before any addition."),
    ],
    arms: choices(draft, "arms", armChoices),
    targetKinds: choices(draft, "target", targetChoices),
    salts: saltRows(draft, errors),
    ...targetFields(decimal),
    ...makingFields(decimal, draft, symbols),
    ...precisionFields(decimal, draft, symbols),
    transfersOpen: Object.keys(errors).some((name) => /^(transfer|spread)-/.test(name)),
    session: sessionFields(decimal, field),
    name: field("name", "Name of this match", {
      hint: "A saved match stays as it is, so that sheets and batches made from it stay true. Changes go under another name.",
    }),
  };
}

type Decimal = (name: string, label: string, hint?: string) => ReturnType<FieldOf>;

function saltRows(draft: MatchDraft, errors: FieldErrors) {
  const cell = (name: string) => ({
    name,
    value: draft[name] ?? "",
    error: errors[name] ?? null,
  });
  return saltNames.map((salt) => ({
    name: saltLabel(salt),
    formula: saltTable[salt].formula,
    eNumber: saltTable[salt].eNumber ?? "a food itself",
    have: { ...cell(`have-${salt}`), checked: draft[`have-${salt}`] === "yes" },
    purity: cell(`purity-${salt}`),
    main: cell(`salts-${salt}`),
    other: cell(`other-salts-${salt}`),
  }));
}

function targetFields(decimal: Decimal) {
  const hardness = (prefix: string, arm: string) => [
    decimal(`${prefix}hardness-hardness`, `Hardness${arm}, mg/L as CaCO3`),
    decimal(`${prefix}hardness-alkalinity`, `Alkalinity${arm}, mg/L as CaCO3`),
    decimal(
      `${prefix}hardness-magnesium`,
      `Magnesium's share of hardness${arm}, %`,
      "Calcium makes the rest.",
    ),
  ];
  const ions = (prefix: string, arm: string) =>
    ionNames.map((ion) => decimal(`${prefix}ions-${ion}`, `${capital(ion)}${arm}, mg/L`));
  return {
    hardnessTarget: hardness("", ""),
    otherHardnessTarget: hardness("other-", " after brewing"),
    ionTarget: ions("", ""),
    otherIonTarget: ions("other-", " after brewing"),
    baseIons: ionNames.map((ion) => decimal(`base-${ion}`, `${capital(ion)}, mg/L`)),
  };
}

type Symbols = (typeof unitSymbols)[keyof typeof unitSymbols];

function makingFields(decimal: Decimal, draft: MatchDraft, symbols: Symbols) {
  return {
    ways: choices(draft, "way", wayChoices),
    making: [
      decimal(
        "batchGrams",
        `Batch of brew water, ${symbols.mass}`,
        "Any size; draw off what a brew needs.",
      ),
      decimal("stockMillilitres", `Stock bottle, ${symbols.volume}`),
      decimal(
        "doseMillilitres",
        `Dose into the coffee, ${symbols.volume}`,
        "All bottles together; the other arm gets as much base water (sham). About 2 % of the beverage.",
      ),
      decimal("temperature", `Room temperature, ${symbols.temperature}`),
      decimal("kettleLossPercent", "Boiled off before pouring, %"),
    ],
  };
}

function precisionFields(decimal: Decimal, draft: MatchDraft, symbols: Symbols) {
  return {
    fineScale: [
      decimal(
        "saltScaleStep",
        "Fine scale: step, g",
        "Salts are weighed in grams in either units.",
      ),
      decimal(
        "saltScaleTolerance",
        "Fine scale: ± tolerance, g",
        "From its data sheet; if unknown, two steps.",
      ),
    ],
    bigScale: [
      decimal("scaleStep", `Large scale: step, ${symbols.mass}`, "For beverage and batch."),
      decimal("scaleTolerance", `Large scale: ± tolerance, ${symbols.mass}`),
    ],
    doseBy: choices(draft, "doseBy", doseChoices),
    volumes: [
      decimal(
        "pipetteTolerance",
        `Pipette: ± tolerance, ${symbols.volume}`,
        "Used when doses go by volume.",
      ),
      decimal("stockTolerance", `Stock bottle's fill: ± tolerance, ${symbols.volume}`),
      decimal("kettleLossSpread", "Boiled off: standard uncertainty, percentage points"),
    ],
    transfers: ionNames.map((ion) => ({
      factor: decimal(`transfer-${ion}`, `${capital(ion)}: transfer`),
      spread: decimal(`spread-${ion}`, `${capital(ion)}: standard uncertainty`),
    })),
    tolerance: decimal(
      "tolerancePercent",
      "Tolerance, % of each ion",
      "Agree on it before brewing.",
    ),
  };
}

function sessionFields(decimal: Decimal, field: FieldOf) {
  return [
    decimal("brewsBefore", "Brews with minerals before brewing"),
    decimal("brewsAfter", "Brews of the other arm"),
    field("firstBrewAt", "First brew at", { hint: "For the list of times, like 9:30." }),
    field("labelBefore", "Blind label of the first arm's water", {
      hint: "Up to 8 letters or digits that say nothing; a session's own water labels, if it has them.",
    }),
    field("labelAfter", "Blind label of the other arm's water"),
  ];
}

function capital(word: string): string {
  return word.charAt(0).toUpperCase() + word.slice(1);
}
