import { type RawForm, textOf } from "../form.ts";
import type { Control, ControlGroup, Shape } from "./controls.ts";
import { readRows } from "./rows.ts";
import { readScalar } from "./scalar.ts";

/** What a filled-in form means: the calculator's input, and what could not be read at all. */
export interface Typed {
  input: Record<string, unknown>;
  /** What is wrong with the text itself, by control. */
  errors: Record<string, string>;
  /** For lists and rows: the line in its box that each entry came from. */
  lines: Record<string, number[]>;
}

type Reading = { ok: true; value: unknown; lines?: number[] } | { ok: false; message: string };

/** Reads every control. Empty ones are left out; what has the wrong form goes on as text, for the schema to refuse. */
export function readTyped(groups: ControlGroup[], form: RawForm): Typed {
  const typed: Typed = { input: {}, errors: {}, lines: {} };
  for (const group of groups) {
    const target: Record<string, unknown> = {};
    for (const control of group.controls)
      readControl(control, textOf(form, control.name), typed, target);
    if (group.name === null) Object.assign(typed.input, target);
    else if (group.required || Object.keys(target).length > 0) typed.input[group.name] = target;
  }
  return typed;
}

function readControl(
  { name, shape }: Control,
  text: string,
  typed: Typed,
  target: Record<string, unknown>,
): void {
  if (text.trim() === "") return;
  const reading = readShape(shape, text);
  if (!reading.ok) {
    typed.errors[name] = reading.message;
    return;
  }
  target[name.split(".").at(-1) ?? name] = reading.value;
  if (reading.lines !== undefined) typed.lines[name] = reading.lines;
}

function readShape(shape: Shape, text: string): Reading {
  if (shape.kind === "scalar") return { ok: true, value: readScalar(shape.scalar, text.trim()) };
  if (shape.kind === "json" || /^\s*[[{]/.test(text)) return readJson(text);
  return readRows(shape, text);
}

function readJson(text: string): Reading {
  try {
    return { ok: true, value: JSON.parse(text) };
  } catch (error) {
    const cause = error instanceof Error ? error.message : String(error);
    return { ok: false, message: `This is no JSON (${cause}).` };
  }
}
