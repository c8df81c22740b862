import type { z } from "zod";

export { numberFrom } from "../src/experiment/typed-number.ts";

/** Form fields as the parser gives them: one text, several texts under one name, or nothing. */
export type RawForm = Readonly<Record<string, unknown>>;

/** What is wrong, by field name. */
export type FieldErrors = Readonly<Record<string, string>>;

/** A labelled input as the `field` partial draws it. */
export interface Field {
  id: string;
  name: string;
  label: string;
  value: string;
  hint: string | null;
  error: string | null;
  type: "text" | "password" | "date" | "decimal" | "whole" | "long";
  autocomplete: string;
}

interface FieldOptions {
  hint?: string;
  type?: Field["type"];
  autocomplete?: string;
}

/** Makes the fields of one form from what was typed and what was wrong with it. */
export function fieldMaker(values: RawForm, errors: FieldErrors) {
  return (name: string, label: string, options: FieldOptions = {}): Field => ({
    id: name,
    name,
    label,
    value: options.type === "password" ? "" : textOf(values, name),
    hint: options.hint ?? null,
    error: errors[name] ?? null,
    type: options.type ?? "text",
    autocomplete: options.autocomplete ?? "off",
  });
}

/** The text typed under a name; empty when there is none. */
export function textOf(values: RawForm, name: string): string {
  const value = values[name];
  return typeof value === "string" ? value : "";
}

/** A request body as form fields; anything that is no object is an empty form. */
export function formOf(body: unknown): RawForm {
  return typeof body === "object" && body !== null && !Array.isArray(body) ? { ...body } : {};
}

/** The first message of each field of a failed parse; nested paths are joined with dots. */
export function errorsByField(error: z.ZodError): FieldErrors {
  const errors: Record<string, string> = {};
  for (const issue of error.issues) errors[issue.path.join(".")] ??= issue.message;
  return errors;
}

/** Entries for the error summary at the top of a form: each links to its field. */
export function errorSummary(errors: FieldErrors): { href: string; message: string }[] {
  return Object.entries(errors).map(([name, message]) => ({ href: `#${name}`, message }));
}
