import type { FastifyReply } from "fastify";
import { rowOfBrew } from "../../src/experiment/brew-sheet.ts";
import { coffeeName } from "../../src/experiment/plan.ts";
import { errorSummary, type FieldErrors, fieldMaker, type RawForm, textOf } from "../form.ts";
import { describeExtraction } from "./brew-pages.ts";
import type { PotAt } from "./pot-at.ts";

/** The form of one pot, with what was typed and what is wrong with it. */
export function showBrewForm(
  reply: FastifyReply,
  at: PotAt,
  values: RawForm,
  errors: FieldErrors,
): FastifyReply {
  const field = fieldMaker(values, errors);
  const coffee = coffeeName(at.session.plan, at.pot.coffeeId);
  return reply.page("lead/brew", {
    title: `Pot ${at.pot.letter} of ${coffee}`,
    session: at.session,
    potId: at.pot.potId,
    again: at.pot.brew !== null,
    extraction: at.pot.brew === null ? null : describeExtraction(at.pot.brew),
    errors: errorSummary(errors),
    waterLabel: field("water_label", ...containerWords(at)),
    brewer: field("brewer", "Brewer"),
    masses: [
      field("dose_g", "Dose, g", { type: "decimal" }),
      field("brew_water_g", "Water poured, g", { type: "decimal" }),
      field("beverage_g", "Beverage before any addition, g", { type: "decimal" }),
      field("brew_s", "Brew time", { hint: "Seconds, or minutes and seconds: 185 or 3:05." }),
      field("added_g", "Added after brewing, g", {
        type: "decimal",
        hint: "Dose or sham; 0 if nothing.",
      }),
    ],
    readings: field("tds_percent", "Strength readings, % TDS", {
      hint: "Several readings with a space between them, for example 1.38 1.39 1.38",
    }),
    timings: choices(timingWords, textOf(values, "sample") || "no-addition"),
    zeros: choices(zeroWords, textOf(values, "zero") || "pure-water"),
    serving: [
      field("held_min", "Held before pouring, min", {
        type: "decimal",
        hint: "Empty if not known.",
      }),
      field("served_c", "Temperature when served, °C", {
        type: "decimal",
        hint: "Empty if not measured. From about 50 °C cups can scald.",
      }),
    ],
    note: field("note", "Note", { type: "long" }),
  });
}

/** Only where something is added is it the water that differs; else it may be the coffee or the filter. */
function containerWords({ session, pot }: PotAt): [label: string, options: { hint: string }] {
  const copy = "Copy the label from the container.";
  return session.plan.substances.length > 0
    ? [
        "Label on the water container",
        { hint: `This pot gets the water labelled ${pot.waterLabel}. ${copy}` },
      ]
    : [
        "Label on the container",
        { hint: `This pot gets what stands under the label ${pot.waterLabel}. ${copy}` },
      ];
}

const timingWords = {
  "no-addition": "Nothing is added after brewing",
  "before-addition": "Before the addition",
  "after-addition": "After the addition",
};
const zeroWords = {
  "pure-water": "On distilled or purified water",
  "brew-water": "On the brew water (hides its minerals)",
  "not-zeroed": "Not zeroed",
};

function choices(words: Readonly<Record<string, string>>, chosen: string) {
  return Object.entries(words).map(([value, label]) => ({
    value,
    label,
    checked: value === chosen,
  }));
}

/** What the form of a pot shows at first: its brew, or what the plan says. */
export function typedBrew({ session, pot }: PotAt): RawForm {
  if (pot.brew !== null) return rowOfBrew(pot.brew, coffeeName(session.plan, pot.coffeeId));
  const { doseGrams, brewWaterGrams } = session.plan.recipe;
  return {
    brewer: pot.plannedBrewer,
    dose_g: String(doseGrams),
    brew_water_g: String(brewWaterGrams),
    added_g: "0",
  };
}
