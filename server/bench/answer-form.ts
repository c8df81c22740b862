import type { Calculator, InputIssue } from "../../src/calculators/calculator.ts";
import type { RawForm } from "../form.ts";
import type { ControlGroup } from "./controls.ts";
import { readingOf } from "./readings.ts";
import { type ResultPart, resultParts } from "./result.ts";
import { readTyped, type Typed } from "./typed.ts";

export interface ShownResult {
  sentences: string[];
  parts: ResultPart[];
  /** Input and output with every digit, as the other doors take and give them. */
  inputJson: string;
  outputJson: string;
}

export type FormAnswer =
  | { ok: true; result: ShownResult }
  | { ok: false; errors: Record<string, string> };

/** Computes what a form asks; problems come back by control, those of the whole form under `form`. */
export function answerForm(
  calculator: Calculator,
  groups: ControlGroup[],
  form: RawForm,
): FormAnswer {
  const typed = readTyped(groups, form);
  const outcome = calculator.run(typed.input);
  if (!outcome.ok || Object.keys(typed.errors).length > 0) {
    const issues = outcome.ok ? [] : outcome.issues;
    return { ok: false, errors: { ...errorsOf(issues, groups, typed), ...typed.errors } };
  }
  return {
    ok: true,
    result: {
      sentences: readingOf(calculator.name, typed.input, outcome.output),
      parts: resultParts(outcome.output),
      inputJson: JSON.stringify(typed.input),
      outputJson: JSON.stringify(outcome.output, null, 2),
    },
  };
}

function errorsOf(
  issues: InputIssue[],
  groups: ControlGroup[],
  typed: Typed,
): Record<string, string> {
  const names = new Set(groups.flatMap((group) => group.controls.map((control) => control.name)));
  const errors: Record<string, string> = {};
  for (const { path, message } of issues) {
    const name = nameOf(path, names, groups);
    // The step after the control's own is the place in its list.
    const line = typed.lines[name]?.[Number(path[name.split(".").length])];
    errors[name] ??= line === undefined ? message : `Line ${line}: ${message}`;
  }
  return errors;
}

/** The control that an issue's path leads to; a group's own issue stands at its first control. */
function nameOf(path: InputIssue["path"], names: Set<string>, groups: ControlGroup[]): string {
  for (let length = path.length; length > 0; length -= 1) {
    const name = path.slice(0, length).join(".");
    if (names.has(name)) return name;
  }
  const group = groups.find(({ name }) => name !== null && name === path[0]);
  return group?.controls[0]?.name ?? "form";
}
