import { type BatchReading, batchReadingSchema } from "../../src/water/batch-reading.ts";
import { toMetric } from "../../src/water/entry-units.ts";
import { rectangular } from "../../src/water/weighing-uncertainty.ts";
import { type FieldErrors, fieldMaker, numberFrom, type RawForm, textOf } from "../form.ts";
import { numberReader } from "./number-reader.ts";

/** A reading's form with what an empty one starts from. */
export const emptyReading: Readonly<Record<string, string>> = {
  measured: "none",
  conductivity: "",
  sampleTemperature: "25",
  sampleTemperatureUnit: "C",
  compensated: "yes",
  titrant: "",
  molarity: "0.01",
  sample: "100",
  readingTolerance: "2",
  parts: "1",
};

export type ReadReading =
  | { ok: true; reading: BatchReading | null }
  | { ok: false; errors: FieldErrors };

/** Reads a measurement; null when nothing was measured. */
export function readReading(form: RawForm): ReadReading {
  const kind = textOf(form, "measured");
  if (kind === "none" || kind === "") return { ok: true, reading: null };
  const read = numberReader((name) => numberFrom(textOf(form, name)));
  const shared = {
    relativeUncertainty: rectangular(read("readingTolerance", "the tolerance") / 100),
    parts: read("parts", "the dilution"),
  };
  const temperatureUnit = textOf(form, "sampleTemperatureUnit") === "F" ? "us" : "metric";
  const reading =
    kind === "conductivity"
      ? {
          kind,
          ...shared,
          microsiemensPerCentimetre: read("conductivity", "the conductivity"),
          sampleTemperature: toMetric(
            read("sampleTemperature", "the temperature"),
            "temperature",
            temperatureUnit,
          ),
          compensated: textOf(form, "compensated") !== "no",
        }
      : {
          kind,
          ...shared,
          millilitres: read("titrant", "the titrant used"),
          molarity: read("molarity", "the titrant's concentration"),
          sampleMillilitres: read("sample", "the sample"),
        };
  if (Object.keys(read.errors).length > 0) return { ok: false, errors: read.errors };
  const errors = outOfRange(reading);
  if (Object.keys(errors).length > 0) return { ok: false, errors };
  const parsed = batchReadingSchema.safeParse(reading);
  if (parsed.success) return { ok: true, reading: parsed.data };
  return { ok: false, errors: { measured: "Choose what was measured from the list." } };
}

/** What a laboratory could not have read. */
function outOfRange(reading: Readonly<Record<string, unknown>>): FieldErrors {
  return Object.fromEntries(
    ranges.flatMap(([key, field, least, most, message]): [string, string][] => {
      const value = reading[key];
      const fine = typeof value !== "number" || (value >= least && value <= most);
      return fine ? [] : [[field, message]];
    }),
  );
}

const ranges: [string, string, number, number, string][] = [
  [
    "microsiemensPerCentimetre",
    "conductivity",
    0,
    200_000,
    "Give the conductivity from 0 to 200000 µS/cm.",
  ],
  [
    "sampleTemperature",
    "sampleTemperature",
    5,
    90,
    "Give a temperature from 5 to 90 °C (41 to 194 °F).",
  ],
  ["millilitres", "titrant", 0, 1000, "Give the titrant used from 0 to 1000 mL."],
  ["molarity", "molarity", 1e-6, 10, "Give the titrant's concentration above 0, up to 10 mol/L."],
  ["sampleMillilitres", "sample", 1e-3, 10_000, "Give the sample above 0, up to 10000 mL."],
  ["relativeUncertainty", "readingTolerance", 0, 0.5, "Give the tolerance from 0 to 80 %."],
  [
    "parts",
    "parts",
    1,
    10_000,
    "Give 1 for undiluted, or the parts of the whole, like 100 for 1 + 99.",
  ],
];

/** The fields of a reading as the template draws them. */
export function readingFields(values: RawForm, errors: FieldErrors) {
  const field = fieldMaker(values, errors);
  const picked = (name: string, options: readonly [string, string][]) =>
    options.map(([value, label]) => ({ value, label, selected: value === textOf(values, name) }));
  return {
    measuredError: errors.measured ?? null,
    kinds: picked("measured", [
      ["none", "Nothing yet"],
      ["conductivity", "Conductivity"],
      ["hardness", "Hardness, titrated with EDTA"],
      ["alkalinity", "Alkalinity, titrated with acid"],
    ]),
    conductivity: field("conductivity", "Conductivity, µS/cm", { type: "decimal" }),
    sampleTemperature: field("sampleTemperature", "Temperature of the sample", {
      type: "decimal",
      hint: "Best 25 ± 2 °C: a meter's compensation is good for a few kelvin.",
    }),
    temperatureUnits: picked("sampleTemperatureUnit", [
      ["C", "°C"],
      ["F", "°F"],
    ]),
    compensations: picked("compensated", [
      ["yes", "The meter shows the value at 25 °C"],
      ["no", "The meter shows the value at the sample's temperature"],
    ]),
    titration: [
      field("titrant", "Titrant used, mL", { type: "decimal" }),
      field("molarity", "Titrant, mol/L", { type: "decimal" }),
      field("sample", "Sample, mL", { type: "decimal" }),
    ],
    quality: [
      field("readingTolerance", "± tolerance of the reading, %", {
        type: "decimal",
        hint: "Of meter or titration.",
      }),
      field("parts", "Diluted before measuring, parts of the whole", {
        type: "decimal",
        hint: "1 if not; 100 for one part stock and 99 of base water.",
      }),
    ],
  };
}
