import { type Field, type FieldErrors, fieldMaker, type RawForm, textOf } from "../form.ts";
import type { Control, ControlGroup, Scalar, Shape } from "./controls.ts";
import { hintOf, labelOf } from "./labels.ts";

/** A choice as the `select` partial draws it. */
interface Select {
  id: string;
  name: string;
  label: string;
  hint: string | null;
  error: string | null;
  options: { value: string; label: string; selected: boolean }[];
}

/** One control as the page draws it: either a field or a choice. */
export interface Drawn {
  field: Field | null;
  select: Select | null;
}

export interface DrawnGroup {
  legend: string | null;
  controls: Drawn[];
}

/** The form's groups with what was typed and what is wrong with it; what has a default comes last. */
export function drawGroups(
  groups: ControlGroup[],
  form: RawForm,
  errors: FieldErrors,
): DrawnGroup[] {
  const draw = (control: Control) => drawControl(control, form, errors);
  const [root, ...objects] = groups;
  const asked = root?.controls.filter(({ fallback }) => fallback === "") ?? [];
  const settled = root?.controls.filter(({ fallback }) => fallback !== "") ?? [];
  const named = objects.map(({ name, required, controls }) => ({
    legend: `${labelOf(name ?? "")}${required ? "" : " (optional)"}`,
    controls: controls.map(draw),
  }));
  const settings = { legend: "Settings", controls: settled.map(draw) };
  return [
    { legend: null, controls: asked.map(draw) },
    ...named,
    ...(settled.length > 0 ? [settings] : []),
  ];
}

/** The form as it is first shown: every default in its place. */
export function freshForm(groups: ControlGroup[]): RawForm {
  const controls = groups.flatMap((group) => group.controls);
  return Object.fromEntries(controls.map(({ name, fallback }) => [name, fallback]));
}

function drawControl(control: Control, form: RawForm, errors: FieldErrors): Drawn {
  const { name, required, shape } = control;
  const key = name.split(".").at(-1) ?? name;
  const mayBeEmpty = !required && control.fallback === "" && key === name;
  const label = `${labelOf(key)}${mayBeEmpty ? " (optional)" : ""}`;
  const hint = hintFor(key, shape);
  const options = shape.kind === "scalar" ? optionsOf(shape.scalar) : null;
  if (options !== null) {
    const chosen = textOf(form, name);
    const all = control.fallback === "" ? [emptyOption(required), ...options] : options;
    const drawn = all.map((option) => ({ ...option, selected: option.value === chosen }));
    return {
      field: null,
      select: { id: name, name, label, hint, error: errors[name] ?? null, options: drawn },
    };
  }
  const type = typeOf(shape);
  const field = fieldMaker(form, errors)(name, label, { type, ...(hint === null ? {} : { hint }) });
  return { field, select: null };
}

function optionsOf(scalar: Scalar): { value: string; label: string }[] | null {
  if (scalar.kind === "choice")
    return scalar.options.map((value) => ({ value, label: labelOf(value) }));
  if (scalar.kind !== "yes-no") return null;
  return ["yes", "no"].map((value) => ({ value, label: labelOf(value) }));
}

function emptyOption(required: boolean): { value: string; label: string } {
  return { value: "", label: required ? "Choose…" : "Not said" };
}

function typeOf(shape: Shape): Field["type"] {
  if (shape.kind !== "scalar") return "long";
  if (shape.scalar.kind !== "number") return "text";
  return shape.scalar.whole ? "whole" : "decimal";
}

function hintFor(key: string, shape: Shape): string | null {
  const parts = [hintOf(key), howToType(shape)].filter((part) => part !== null);
  return parts.length === 0 ? null : parts.join(" ");
}

function howToType(shape: Shape): string | null {
  if (shape.kind === "scalar") return null;
  if (shape.kind === "json") return "As JSON.";
  if (shape.kind === "list") return `One a line.${wordsHint(shape.scalar)}`;
  if (shape.columns === null)
    return "A block a line, its values parted by spaces; or paste from a spreadsheet.";
  const columns = shape.columns.map(
    ({ name, required }) =>
      `${shape.named ? labelOf(name) : "value"}${required ? "" : " (optional)"}`,
  );
  const words = shape.columns.map(({ scalar }) => wordsHint(scalar)).join("");
  return `A line each: ${columns.join("; ")}. Or paste from a spreadsheet.${words}`;
}

function wordsHint(scalar: Scalar): string {
  return scalar.kind === "choice" ? ` One of: ${scalar.options.join(", ")}.` : "";
}
