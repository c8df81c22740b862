import { z } from "zod";
import { methodNames } from "../statistics/methods/method.ts";
import type { Refusal } from "./calculator.ts";

/** Larger counts than this are slips of the hand, not panels. */
export const MOST_ASSESSMENTS = 1_000_000;

export const methodField = z.enum(methodNames, {
  error: `Give the method as one of ${methodNames.join(", ")}.`,
});

export const sidesField = z
  .enum(["one", "two"], { error: "Give the sides as one or two." })
  .default("one");

/** Smaller levels than this would leave the doubles on the way. */
const LEAST_ALPHA = 1e-100;

export const alphaField = probability("alpha")
  .min(LEAST_ALPHA, { error: `Check alpha: less than ${LEAST_ALPHA} is not plausible.` })
  .default(0.05);
export const confidenceField = probability("the confidence").default(0.95);
export const powerField = probability("the power");

export const assessmentsField = count("the number of assessments", 1);

/** A proportion of distinguishers as an effect or margin, or d′; which of them is optional is the calculator's. */
export const proportionDistinguishingField = z
  .number({ error: "Give the proportion of distinguishers as a number." })
  .min(0, { error: "Give the proportion of distinguishers as 0 or more." })
  .max(1, { error: "Give the proportion of distinguishers as a fraction, at most 1." });

export const dPrimeField = z
  .number({ error: "Give dPrime as a number." })
  .min(0, { error: "Give dPrime as 0 or more." })
  .max(100, { error: "Check dPrime: more than 100 is not plausible." });

/** A number strictly between 0 and 1. */
export function probability(what: string) {
  return z
    .number({ error: `Give ${what} as a number between 0 and 1.` })
    .gt(0, { error: `Give ${what} above 0.` })
    .lt(1, { error: `Give ${what} below 1.` });
}

/** A whole number from `least` to `most`. */
export function count(what: string, least = 0, most = MOST_ASSESSMENTS) {
  return z
    .number({ error: `Give ${what} as a whole number.` })
    .int({ error: `Give ${what} as a whole number.`, abort: true })
    .min(least, { error: `Give ${what} as ${least} or more.` })
    .max(most, { error: `Check ${what}: at most ${most} can be computed.` });
}

/** A number that may have no finite value. */
export const finiteOrNull = z.number().nullable();

/** An estimate with its two-sided interval. */
export const intervalField = z.object({
  estimate: z.number(),
  lower: z.number(),
  upper: z.number(),
});

/** An interval on a scale that may have no finite value at its ends. */
export const openIntervalField = z.object({
  estimate: finiteOrNull,
  lower: finiteOrNull,
  upper: finiteOrNull,
});

/** Refuses two sides of a method that has only one question. */
export function sidesMustFit(
  input: { method: string; sides: "one" | "two" },
  context: z.RefinementCtx,
): void {
  if (input.sides === "one" || input.method === "paired-comparison") return;
  const message =
    "Two sides suit paired-comparison only: the other methods ask only whether anyone can tell.";
  context.addIssue({ code: "custom", path: ["sides"], message });
}

/** What a calculation answers when one field of a valid input can't be used. */
export function refuseField(field: string, message: string): Refusal {
  return { refused: [{ path: [field], message }] };
}
