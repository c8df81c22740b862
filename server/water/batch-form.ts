import { ionNames } from "../../src/water/ions.ts";
import { matchMinerals } from "../../src/water/matching.ts";
import { saltLabel, saltNames, saltTable } from "../../src/water/salts.ts";
import { errorSummary, type FieldErrors, fieldMaker, type RawForm, textOf } from "../form.ts";
import type { RecordedBatch } from "../store/water-batches.ts";
import type { SavedMatch } from "../store/waters.ts";
import { decimalsOf } from "./amounts.ts";
import { doseRows, kindWords } from "./batch-draft.ts";
import { emptyMatch } from "./match-draft.ts";
import { readMatch } from "./match-plan.ts";
import { emptyReading, readingFields } from "./reading-draft.ts";

/** A batch's form before anything is typed: what a match asks for, if it is made from one. */
export function freshBatch(
  at: string,
  leadName: string,
  match: SavedMatch | undefined,
  what: string,
): RawForm {
  return {
    ...emptyReading,
    kind: what === "brew-water" ? "brew-water" : "stock",
    label: "",
    unit: what === "brew-water" ? "g" : "mL",
    amount: "",
    temperature: "20",
    temperatureUnit: "C",
    madeOn: at.slice(0, 10),
    madeTime: at.slice(11, 16),
    madeBy: leadName,
    ...(match === undefined ? {} : fromMatch(match, what)),
  };
}

/** The planned weighings stand in the fields: whoever weighed something else types over them. */
function fromMatch(match: SavedMatch, what: string): RawForm {
  const read = readMatch({ ...emptyMatch, ...match.draft, units: "metric" });
  if (!read.ok) return {};
  const { plan, way, dosesWeighed } = read.request;
  const found = matchMinerals(plan);
  const base = Object.entries(plan.baseIons).map(([ion, amount]) => [
    `base-${ion}`,
    String(amount),
  ]);
  const weighed = (
    salts: readonly { salt: string; grams: number; purity?: number | undefined }[],
  ) =>
    salts.flatMap(({ salt, grams, purity = 1 }) => [
      [`grams-${salt}`, grams.toFixed(decimalsOf(plan.instruments.scaleResolutionGrams))],
      [`purity-${salt}`, String(Number((100 * purity).toPrecision(6)))],
    ]);
  const temperature = String(plan.temperature);
  const label = `${match.name}, ${what.replace("-", " ")}`;
  if (what === "brew-water") {
    const amount = { amount: String(plan.batchGrams), unit: "g", temperature, label };
    const dosed = way === "one-stock" ? found.oneStock : null;
    const doses = found.bottles.map((_, index) => [
      `dosed-${index + 1}`,
      dosed?.beforeMillilitres.toFixed(2) ?? "",
    ]);
    const salts = dosed === null ? weighed(found.recipe.batch) : doses;
    return { ...amount, ...Object.fromEntries([...base, ...salts]) };
  }
  const bottle = found.bottles[what === "stock-2" ? 1 : 0];
  const unit = dosesWeighed ? "g" : "mL";
  const made = { amount: String(plan.stockMillilitres), unit, temperature, label };
  return { ...made, ...Object.fromEntries([...base, ...weighed(bottle?.salts ?? [])]) };
}

/** The batch form as the template draws it. */
export function batchForm(values: RawForm, errors: FieldErrors, known: readonly RecordedBatch[]) {
  const field = fieldMaker(values, errors);
  const picked = (name: string, options: readonly [string, string][]) =>
    options.map(([value, label]) => ({ value, label, selected: value === textOf(values, name) }));
  const cell = (name: string) => ({
    name,
    value: textOf(values, name),
    error: errors[name] ?? null,
  });
  return {
    errors: errorSummary(errors),
    kinds: picked("kind", Object.entries(kindWords)),
    label: field("label", "Label on the vessel"),
    when: [
      field("madeOn", "Made on", { type: "date" }),
      field("madeTime", "At", { hint: "Like 9:30." }),
      field("madeBy", "By", { hint: "Initials do." }),
    ],
    amount: field("amount", "Made up to", { type: "decimal" }),
    units: picked("unit", [
      ["g", "g"],
      ["mL", "mL"],
      ["oz", "oz"],
      ["floz", "fl oz"],
    ]),
    temperature: field("temperature", "Temperature then", { type: "decimal" }),
    temperatureUnits: picked("temperatureUnit", [
      ["C", "°C"],
      ["F", "°F"],
    ]),
    salts: saltNames.map((salt) => ({
      name: saltLabel(salt),
      formula: saltTable[salt].formula,
      eNumber: saltTable[salt].eNumber ?? "a food itself",
      grams: cell(`grams-${salt}`),
      purity: cell(`purity-${salt}`),
      lot: cell(`lot-${salt}`),
    })),
    doses: doseRows.map((row) => ({
      row,
      from: { name: `from-${row}`, error: errors[`from-${row}`] ?? null },
      options: picked(`from-${row}`, [
        ["", "None"],
        ...known.map(({ id, label, madeAt }): [string, string] => [
          id,
          `${label}, ${madeAt.slice(0, 10)}`,
        ]),
      ]),
      dosed: field(`dosed-${row}`, `Amount ${row}, mL`, { type: "decimal" }),
    })),
    baseIons: ionNames.map((ion) =>
      field(`base-${ion}`, `${ion.charAt(0).toUpperCase()}${ion.slice(1)}, mg/L`, {
        type: "decimal",
      }),
    ),
    note: field("note", "Note", { type: "long" }),
    reading: readingFields(values, errors),
  };
}
