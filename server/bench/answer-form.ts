import { z } from "zod";
import type { Calculator, InputIssue } from "../../src/calculators/calculator.ts";
import type { Calculations } from "../api/calculations.ts";
import type { RawForm } from "../form.ts";
import type { ControlGroup } from "./controls.ts";
import { inFormWords } from "./labels.ts";
import { readingOf } from "./readings.ts";
import { type ResultPart, resultParts, warningsIn } from "./result.ts";
import { readTyped, type Typed } from "./typed.ts";

export interface ShownResult {
  sentences: string[];
  warnings: string[];
  parts: ResultPart[];
  /** Input and output with every digit, as the other doors take and give them. */
  inputJson: string;
  outputJson: string;
}

export type FormAnswer =
  | { ok: true; result: ShownResult }
  | { ok: false; status: number; errors: Record<string, string> };

const errorBody = z.object({
  error: z.object({
    message: z.string(),
    issues: z
      .array(z.object({ path: z.array(z.union([z.string(), z.number()])), message: z.string() }))
      .optional(),
  }),
});
/** A page holds no more of a result than this many characters. */
const LONGEST_JSON = 50_000;

/** Who computes, and the address that asks. */
export interface Asking {
  calculations: Calculations;
  address: string;
}

/** Computes what a form asks; problems come back by control, those of the whole form under `form`. */
export async function answerForm(
  { calculations, address }: Asking,
  { calculator, groups }: { calculator: Calculator; groups: ControlGroup[] },
  form: RawForm,
): Promise<FormAnswer> {
  const typed = readTyped(groups, form);
  const inputJson = JSON.stringify(typed.input);
  const { status, json } = await calculations.answer(address, calculator.name, inputJson);
  if (status !== 200 || Object.keys(typed.errors).length > 0) {
    const errors = status === 200 ? {} : errorsOf(json, groups, typed);
    return {
      ok: false,
      status: status === 200 ? 422 : status,
      errors: { ...errors, ...typed.errors },
    };
  }
  const output: unknown = JSON.parse(json);
  return {
    ok: true,
    result: {
      sentences: readingOf(calculator.name, typed.input, output),
      warnings: warningsIn(output),
      parts: resultParts(output),
      inputJson: shortened(inputJson),
      outputJson: shortened(JSON.stringify(output, null, 2)),
    },
  };
}

function shortened(json: string): string {
  return json.length <= LONGEST_JSON ? json : `${json.slice(0, LONGEST_JSON)} …`;
}

function errorsOf(json: string, groups: ControlGroup[], typed: Typed): Record<string, string> {
  const { message: whole, issues } = errorBody.parse(JSON.parse(json)).error;
  if (issues === undefined) return { form: whole };
  const names = new Set(groups.flatMap((group) => group.controls.map((control) => control.name)));
  const errors: Record<string, string> = {};
  for (const { path, message } of issues) {
    const name = nameOf(path, names, groups);
    // The step after the control's own is the place in its list.
    const line = typed.lines[name]?.[Number(path[name.split(".").length])];
    const words = inFormWords(message);
    errors[name] ??= line === undefined ? words : `Line ${line}: ${words}`;
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
