import { toMetric } from "../../src/water/entry-units.ts";
import { ionNames } from "../../src/water/ions.ts";
import { saltNames } from "../../src/water/salts.ts";
import {
  type BatchKind,
  batchIons,
  batchKinds,
  batchMillilitres,
  type WaterBatch,
} from "../../src/water/water-batch.ts";
import { type FieldErrors, numberFrom, type RawForm, textOf } from "../form.ts";
import type { RecordedBatch } from "../store/water-batches.ts";
import { type NumberReader, numberReader } from "./number-reader.ts";
import { whoAndWhen } from "./who-and-when.ts";

export const kindWords: Readonly<Record<BatchKind, string>> = {
  stock: "Stock bottle",
  "brew-water": "Brew water",
  "mock-cup": "Mock cup (water instead of coffee)",
  "base-water": "Base water",
};

/** Other batches that one batch may be dosed from. */
export const doseRows = [1, 2, 3] as const;

export interface BatchEntry {
  label: string;
  content: WaterBatch;
  madeAt: string;
  madeBy: string;
  note: string;
}

export type ReadBatch = { ok: true; entry: BatchEntry } | { ok: false; errors: FieldErrors };

/** Reads what was made; every mistake comes back under its field's name. */
export function readBatch(form: RawForm, known: readonly RecordedBatch[]): ReadBatch {
  const read = numberReader((name) => numberFrom(textOf(form, name)));
  const errors: Record<string, string> = { ...whoAndWhen(form) };
  const unit = textOf(form, "unit");
  const amount = above0(read, "amount", "the amount made");
  const byVolume = unit === "mL" || unit === "floz";
  const system = unit === "oz" || unit === "floz" ? "us" : "metric";
  const fahrenheit = textOf(form, "temperatureUnit") === "F" ? "us" : "metric";
  const content: WaterBatch = {
    kind: batchKinds.find((kind) => kind === textOf(form, "kind")) ?? "brew-water",
    madeUpTo: {
      amount: toMetric(amount, byVolume ? "volume" : "mass", system),
      unit: byVolume ? "mL" : "g",
    },
    temperature: toMetric(read("temperature", "the temperature"), "temperature", fahrenheit),
    baseIons: baseIons(form, read),
    salts: salts(form, read),
    doses: doses(form, read, known),
  };
  Object.assign(errors, read.errors);
  if (Object.keys(errors).length === 0) Object.assign(errors, implausible(content));
  if (Object.keys(errors).length > 0) return { ok: false, errors };
  const madeAt = `${textOf(form, "madeOn")}T${textOf(form, "madeTime").trim().padStart(5, "0")}`;
  const text = (name: string) => textOf(form, name).trim();
  const entry = {
    label: text("label"),
    content,
    madeAt,
    madeBy: text("madeBy"),
    note: text("note"),
  };
  return { ok: true, entry };
}

function baseIons(form: RawForm, read: NumberReader): WaterBatch["baseIons"] {
  const named = ionNames.filter((ion) => textOf(form, `base-${ion}`).trim() !== "");
  return Object.fromEntries(named.map((ion) => [ion, from0(read, `base-${ion}`, ion)]));
}

function salts(form: RawForm, read: NumberReader): WaterBatch["salts"] {
  const weighed = saltNames.filter((salt) => textOf(form, `grams-${salt}`).trim() !== "");
  return weighed.map((salt) => ({
    salt,
    grams: from0(read, `grams-${salt}`, "the mass weighed"),
    purity: purity(form, read, `purity-${salt}`),
    lot: textOf(form, `lot-${salt}`).trim().slice(0, 60),
  }));
}

function purity(form: RawForm, read: NumberReader, field: string): number {
  if (textOf(form, field).trim() === "") return 1;
  const percent = above0(read, field, "the assay");
  if (percent > 110) read.errors[field] ??= "Give the assay in percent, up to 110.";
  return percent / 100;
}

function doses(
  form: RawForm,
  read: NumberReader,
  known: readonly RecordedBatch[],
): WaterBatch["doses"] {
  return doseRows.flatMap((row) => {
    const id = textOf(form, `from-${row}`);
    const typed = textOf(form, `dosed-${row}`).trim();
    if (id === "" && typed === "") return [];
    const source = known.find((batch) => batch.id === id);
    if (source === undefined)
      read.errors[`from-${row}`] = "Choose the recorded batch that this came from.";
    const millilitres = above0(read, `dosed-${row}`, "what was dosed");
    if (source === undefined) return [];
    return {
      batchId: source.id,
      label: source.label,
      millilitres,
      ions: batchIons(source.content),
    };
  });
}

function implausible(content: WaterBatch): FieldErrors {
  const millilitres = batchMillilitres(content);
  const dosed = content.doses.reduce((sum, dose) => sum + dose.millilitres, 0);
  const grams = content.salts.reduce((sum, salt) => sum + salt.grams, 0);
  if (content.temperature < 0 || content.temperature > 100) {
    return { temperature: "Give a temperature of liquid water, 0 to 100 °C." };
  }
  if (dosed > millilitres) return { amount: "More was dosed into it than it holds: check both." };
  if (grams > millilitres) return { amount: "The salts weigh more than the water: check both." };
  return {};
}

function above0(read: NumberReader, field: string, what: string): number {
  const number = read(field, what);
  if (number <= 0) read.errors[field] ??= `Give ${what} above 0.`;
  if (number > most) read.errors[field] ??= tooMuch(what);
  return number;
}

function from0(read: NumberReader, field: string, what: string): number {
  const number = read(field, what);
  if (number < 0) read.errors[field] ??= `Give ${what} as 0 or more.`;
  if (number > most) read.errors[field] ??= tooMuch(what);
  return number;
}

/** More than a roastery makes at a time, and no number that arithmetic loses. */
const most = 1e7;

function tooMuch(what: string): string {
  return `Check ${what}: that much is not plausible.`;
}
