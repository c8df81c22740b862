import { z } from "zod";
import { setKinds } from "../../design/serving-orders.ts";
import { cupCodeSchema } from "../../experiment/ballot.ts";
import {
  refractometerZeroSchema,
  rejectionReasonSchema,
  sampleTimingSchema,
} from "../../experiment/brew-log.ts";
import { treatmentSchema } from "../../experiment/endpoint.ts";

/* How the cells of the data package's tables are read: text as a CSV reader gives it. */

const filled = z.string().min(1, "This cell must not be empty");
const number = filled.regex(/^-?\d+(\.\d+)?(e[+-]?\d+)?$/i, "This is no number").transform(Number);
const whole = filled.regex(/^\d+$/, "This is no whole number").transform(Number);
const yesNo = z.enum(["TRUE", "FALSE"], "This is neither TRUE nor FALSE").transform(isTrue);

function isTrue(text: "TRUE" | "FALSE"): boolean {
  return text === "TRUE";
}

/** An empty cell is null. */
function orEmpty<Inner extends z.ZodType>(inner: Inner) {
  return z.union([z.literal("").transform(() => null), inner]);
}

const pot = z
  .string()
  .regex(/^c[1-9][0-9]?-[A-Z]$/, "A pot is coffee and letter, such as c1-K")
  .transform((name) => {
    const [coffeeId = "", letter = ""] = name.split("-");
    return { coffeeId, letter };
  });
const whose = { seat: filled, presentation: whole };

export const potRow = z.object({
  pot,
  pair: whole,
  treatment: treatmentSchema,
  control_pair: yesNo,
  planned_brewer: z.string(),
  brewer: z.string(),
  water_label: z.string(),
  dose_g: orEmpty(number),
  brew_water_g: orEmpty(number),
  beverage_g: orEmpty(number),
  brew_s: orEmpty(number),
  sample: orEmpty(sampleTimingSchema),
  added_g: orEmpty(number),
  zero: orEmpty(refractometerZeroSchema),
  held_min: orEmpty(number),
  served_c: orEmpty(number),
  rejected: orEmpty(rejectionReasonSchema),
});

export const readingRow = z.object({ pot, reading: whole, tds_percent: number });

export const ballotRow = z.object({
  ...whose,
  coffee: filled,
  pair: whole,
  repeat: whole,
  control: orEmpty(z.enum(["same-pot", "same-treatment"])),
  set: z.enum(setKinds),
  odd_position: orEmpty(whole),
  fellow_position: orEmpty(whole),
  received_at: z.iso.datetime(),
  seconds_on_screen: orEmpty(whole),
  void_reason: orEmpty(filled),
  served_again_for: orEmpty(whole),
});

export const cupRow = z.object({
  ...whose,
  position: whole,
  code: cupCodeSchema,
  pot,
  treatment: treatmentSchema,
});

export const answerRow = z.object({
  ...whose,
  endpoint: filled.regex(/^e[1-9][0-9]?$/, "A question is e1, e2, …"),
  code: cupCodeSchema,
  chosen: orEmpty(yesNo),
  cannot_tell: yesNo,
  score: orEmpty(whole),
});

const mixUp = z.object({
  seatId: z.string(),
  ordinal: z.int(),
  codes: z.tuple([z.string(), z.string()]),
  resolution: z.enum(["corrected", "voided"]),
});

/** What session.json holds of the evidence: all that is in no table. */
export const sessionDocument = z.object({
  origin: z.enum(["run-here", "imported"]),
  seatsStarted: z.int().min(0),
  ballotsExpected: z.int().min(0),
  blind: z.object({
    openedEarly: z.array(z.object({ at: z.string(), reason: z.string() })),
    leadSawSheets: z.array(z.object({ at: z.string(), sheet: z.string() })),
  }),
  mixUps: z.array(mixUp),
});
