import type { FieldErrors } from "../form.ts";
import type { Draft } from "../store/experiments.ts";

/** A labelled choice as the `select` partial draws it. */
export interface Select {
  id: string;
  name: string;
  label: string;
  hint: string | null;
  error: string | null;
  options: { value: string; label: string; selected: boolean }[];
}

/** Makes a choice with what was typed selected. */
export function selectMaker(draft: Draft, errors: FieldErrors) {
  return (
    name: string,
    label: string,
    options: readonly [string, string][],
    hint: string | null = null,
  ): Select => ({
    id: name,
    name,
    label,
    hint,
    error: errors[name] ?? null,
    options: options.map(([value, text]) => ({
      value,
      label: text,
      selected: value === (draft[name] ?? ""),
    })),
  });
}
