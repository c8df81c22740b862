import { z } from "zod";
import { ionNames } from "../water/ions.ts";
import { endpointSchema } from "./endpoint.ts";
import { complaintsAbout } from "./plan-rules.ts";
import { translationsSchema } from "./translations.ts";

const text = (most: number) => z.string().trim().max(most, `Keep it under ${most} characters`);
const required = (most: number, ask: string) => text(most).min(1, ask);
const count = (least: number, most: number, what: string) =>
  z
    .number(`Give the ${what} as a whole number`)
    .int(`Give the ${what} as a whole number`)
    .min(least, `At least ${least}`)
    .max(most, `At most ${most}`);
const measure = (least: number, most: number, unit: string) =>
  z
    .number(`Give a number in ${unit}`)
    .gt(least, `More than ${least} ${unit}`)
    .max(most, `At most ${most} ${unit}`);

const treatmentDescription = z.strictObject({
  name: required(80, "Name the treatment"),
  description: text(500),
  /**
   * Minerals that are in this treatment's cup when its strength is read, in mg/L; they add to the
   * refractometer reading and are taken off before extraction is computed.
   */
  mineralsInReadingMilligramsPerLitre: z.number().min(0).max(5000),
  /** Each ion added to this treatment's cup, in mg/L; absent where nobody has said. */
  addedIons: z
    .partialRecord(
      z.enum(ionNames),
      z.number().min(0, "No ion below 0 mg/L").max(5000, "At most 5000 mg/L of an ion"),
      "Write each ion with its mg/L, for example: Mg 12, Ca 18",
    )
    .optional(),
});

/** Limits on a brew's inputs; a pair outside them is brewed again. Never on yield or taste. */
const brewLimitsSchema = z.strictObject({
  doseGrams: measure(0, 10, "g"),
  brewWaterGrams: measure(0, 200, "g"),
  brewSeconds: measure(0, 600, "s"),
  /** Largest spread of repeated strength readings of one pot, in points of TDS percent. */
  tdsSpreadPercent: measure(0, 1, "points of TDS"),
});

const recipeSchema = z.strictObject({
  doseGrams: measure(0, 2000, "g"),
  brewWaterGrams: measure(0, 50_000, "g"),
  millilitresPerCup: measure(0, 300, "mL"),
  servingTemperatureCelsius: measure(0, 95, "°C"),
});

/** The pace of serving: told and recorded, never a limit on anyone's time. */
const servingSchema = z.strictObject({
  /** Rest between two sets. */
  palateRestSeconds: count(0, 900, "rest between sets in seconds").optional(),
  /** From pouring until a cup is no longer too hot to be tasted. */
  servingFromMinutes: count(0, 119, "minutes from pouring").optional(),
  /** From pouring until a cup is too cold, or its pot was held too long, to be served. */
  windowMinutes: count(1, 120, "serving window in minutes").optional(),
});

const coffeeSchema = z.strictObject({
  id: z.string().regex(/^c[1-9][0-9]?$/, "A coffee id is c1, c2, …"),
  name: required(60, "Name the coffee"),
  roast: text(40),
});

const planShape = z.strictObject({
  title: required(120, "Give the experiment a name"),
  question: required(300, "Write the question that the cups should answer"),
  hypothesis: text(500),
  treatments: z.strictObject({ A: treatmentDescription, B: treatmentDescription }),
  coffees: z.array(coffeeSchema).min(1, "Name at least one coffee").max(12, "At most 12 coffees"),
  endpoints: z
    .array(endpointSchema)
    .min(1, "Choose at least one question")
    .max(12, "At most 12 questions"),
  alpha: z
    .number("Give alpha as a share, for example 0.05")
    .min(0.0001, "Alpha must be at least 0.0001")
    .max(0.2, "Alpha above 0.2 would call luck a finding one time in five"),
  /** How coffees may be named as exceptions: after an overall finding, or with alpha split in two. */
  coffeeClaims: z.enum(["after-overall", "split-alpha"]),
  tasters: count(1, 300, "number of tasters"),
  spareSeats: count(0, 100, "number of spare seats"),
  brewPairsPerCoffee: count(1, 10, "number of brew pairs"),
  replicates: count(1, 8, "number of repeats"),
  controls: z.strictObject({
    /** Presentations per taster whose cups all come from one pot. */
    samePot: count(0, 6, "number of same-pot controls"),
    /** Extra brew pairs per coffee of two pots of one treatment. */
    sameTreatmentPairsPerCoffee: count(0, 6, "number of same-treatment pairs"),
  }),
  /** `balanced`: coffees in a Williams order over tasters; `rounds`: everyone tastes one coffee at a time. */
  coffeeOrder: z.enum(["balanced", "rounds"]),
  cannotTellAllowed: z.boolean(),
  brewers: z
    .array(required(40, "Name the brewer"))
    .min(1, "Name at least one brewer")
    .max(6, "At most 6 brewers"),
  recipe: recipeSchema,
  brewLimits: brewLimitsSchema.nullable(),
  /** Absent where the plan leaves the pace open. */
  serving: servingSchema.optional(),
  /** Every substance that any cup may hold besides coffee and water; shown at consent, never which cup. */
  substances: z.array(required(80, "Name the substance")).max(20, "At most 20 substances"),
  /** Allergens that any cup may hold, shown at consent before all else; absent where none is declared. */
  allergens: z
    .array(required(80, "Name the allergen"))
    .min(1, "Leave the allergens out where there are none")
    .max(20, "At most 20 allergens")
    .optional(),
  exclusionRule: text(500),
  /**
   * What the lead adds to the consent text, by language tag; absent where nothing is added. It comes
   * on top of the cautions, which nobody can take away.
   */
  consentNotes: z
    .record(
      z.string().regex(/^[a-z]{2,3}(-[a-z0-9]+)*$/i),
      required(1000, "Write the note or leave it out"),
    )
    .optional(),
  /** The words of questions and substances in other languages; absent where tasters read them as written. */
  translations: translationsSchema.optional(),
});

/** A sealed plan: all that is decided before the first cup. */
export type Plan = z.infer<typeof planShape>;

/**
 * The plan of an experiment and its rules: one primary endpoint, unique ids and names, at most one
 * question of overall difference, one expectation for all trays of three, room for pot letters.
 */
export const planSchema = planShape.superRefine((plan, context) => {
  for (const complaint of complaintsAbout(plan)) {
    context.addIssue({ code: "custom", path: complaint.path, message: complaint.message });
  }
});

/** Brew pairs that compare the two treatments, over all coffees. */
export function brewPairs(plan: Plan): number {
  return plan.coffees.length * plan.brewPairsPerCoffee;
}

/** A coffee's name by its id within the plan. */
export function coffeeName(plan: Plan, coffeeId: string): string {
  return plan.coffees.find((coffee) => coffee.id === coffeeId)?.name ?? coffeeId;
}
