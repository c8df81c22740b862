import { z } from "zod";

const measure = (name: string, unit: string, least: number, most: number) =>
  z
    .number(`Give the ${name} in ${unit}`)
    .gt(least, `The ${name} must be more than ${least} ${unit}`)
    .max(most, `A ${name} above ${most} ${unit} looks like a slip; check the unit`);

/** Reasons to reject a brew pair: all are about inputs, never about its yield or taste. */
export const rejectionReasonSchema = z.enum([
  "dose-outside-limit",
  "water-outside-limit",
  "time-outside-limit",
  "readings-disagree",
  "fault-of-brewer-or-handling",
  "held-too-long",
]);
export type RejectionReason = z.infer<typeof rejectionReasonSchema>;

/** When the strength sample was taken, which decides how the reading is corrected. */
export const sampleTimingSchema = z.enum(["before-addition", "after-addition", "no-addition"]);

/** What the refractometer was zeroed on; anything but pure water hides minerals of one arm. */
export const refractometerZeroSchema = z.enum(["pure-water", "brew-water", "not-zeroed"]);

/**
 * One pot as it was brewed, by its pot letter and blind water label. Nothing here says which
 * treatment the pot holds.
 */
export const brewRecordSchema = z
  .strictObject({
    coffeeId: z.string(),
    potLetter: z.string().regex(/^[A-Z]$/, "A pot letter is one capital letter"),
    waterLabel: z.string().trim().max(20),
    brewer: z.string().trim().min(1, "Name the brewer").max(40),
    doseGrams: measure("dose", "g", 0, 2000),
    brewWaterGrams: measure("brew water", "g", 0, 50_000),
    beverageGrams: measure("beverage", "g", 0, 50_000),
    brewSeconds: measure("brew time", "s", 0, 100_000),
    tdsReadingsPercent: z
      .array(measure("strength", "% TDS", 0, 20))
      .min(1, "Give at least one strength reading")
      .max(10, "At most ten readings"),
    sampleTiming: sampleTimingSchema,
    /** Mass added to the beverage after brewing (dose or sham), before or after the sample. */
    addedGrams: z.number().min(0).max(5000),
    refractometerZero: refractometerZeroSchema.optional(),
    /** From the end of brewing to pouring. */
    heldMinutes: z
      .number("Give the holding time in minutes")
      .min(0, "The holding time can't be negative")
      .max(600, "Ten hours at most")
      .optional(),
    servedCelsius: measure("serving temperature", "°C", 0, 100).optional(),
    note: z.string().trim().max(300),
  })
  .superRefine((brew, context) => {
    if (brew.beverageGrams > brew.brewWaterGrams + brew.doseGrams) {
      context.addIssue({
        code: "custom",
        path: ["beverageGrams"],
        message: "More beverage than water and coffee together; check both masses",
      });
    }
    if (brew.doseGrams >= brew.brewWaterGrams) {
      context.addIssue({
        code: "custom",
        path: ["doseGrams"],
        message: "The dose is at least as much as the water; check both masses",
      });
    }
  });
export type BrewRecord = z.infer<typeof brewRecordSchema>;
