import { z } from "zod";

/** Far beyond any measurement, and squares still have finite values. */
const LARGEST_VALUE = 1e100;

/** A finite measurement of either sign. */
export function valueField(what: string) {
  const plausible = `Check ${what}: it is beyond every measurement.`;
  return z
    .number({ error: `Give ${what} as a number.` })
    .min(-LARGEST_VALUE, { error: plausible })
    .max(LARGEST_VALUE, { error: plausible });
}

/** A name that people typed. */
export function labelField(what: string) {
  return z
    .string({ error: `Give the label of ${what} as text.` })
    .trim()
    .min(1, { error: `Give the label of ${what}.` })
    .max(100, { error: `Shorten the label of ${what} to 100 characters.` });
}

/** More correct than asked is refused at `correct`. */
export function isWithinAssessments(counts: { correct: number; assessments: number }): boolean {
  return counts.correct <= counts.assessments;
}

export const withinAssessments = {
  error: "No more answers can be correct than were given.",
  path: ["correct"],
};
