import { type FieldErrors, type RawForm, textOf } from "../form.ts";

/** What is wrong with the label of a batch, who made it and when. */
export function whoAndWhen(form: RawForm): FieldErrors {
  const errors: Record<string, string> = {};
  const label = textOf(form, "label").trim();
  if (label === "" || label.length > 60)
    errors.label = "Give the batch a label of 1 to 60 characters.";
  const by = textOf(form, "madeBy").trim();
  if (by === "" || by.length > 60)
    errors.madeBy = "Say who made it, in 1 to 60 characters; initials do.";
  if (!isDate(textOf(form, "madeOn"))) errors.madeOn = "Give the day it was made, like 2026-03-02.";
  if (!/^([01]?\d|2[0-3]):[0-5]\d$/.test(textOf(form, "madeTime").trim())) {
    errors.madeTime = "Give the time it was made, like 9:30.";
  }
  if (textOf(form, "note").length > 2000) errors.note = "Keep the note under 2000 characters.";
  return errors;
}

function isDate(text: string): boolean {
  if (!/^\d{4}-\d\d-\d\d$/.test(text) || Number.isNaN(Date.parse(text))) return false;
  // The thirtieth of February would become a day of March.
  return new Date(text).toISOString().startsWith(text);
}
