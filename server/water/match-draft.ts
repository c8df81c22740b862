import {
  fromMetric,
  type Quantity,
  toMetric,
  type UnitSystem,
} from "../../src/water/entry-units.ts";
import { ionNames } from "../../src/water/ions.ts";
import { saltNames } from "../../src/water/salts.ts";
import { numberFrom, type RawForm, textOf } from "../form.ts";

/** A match form as typed: field name → text. */
export type MatchDraft = Readonly<Record<string, string>>;

/** Fields whose numbers change with the units; all others mean the same in both. */
const measured: Readonly<Record<string, Quantity>> = {
  doseGrams: "mass",
  brewWaterGrams: "mass",
  beverageGrams: "mass",
  batchGrams: "mass",
  scaleStep: "mass",
  scaleTolerance: "mass",
  doseMillilitres: "volume",
  stockMillilitres: "volume",
  pipetteTolerance: "volume",
  stockTolerance: "volume",
  temperature: "temperature",
};

/** Planning values for a transfer that nobody has measured; calcium clings to grounds more than others. */
const unmeasuredSpread = (ion: string) => (ion === "calcium" ? "0.05" : "0.02");

const perIon = ionNames.flatMap((ion) => [
  [`base-${ion}`, ""],
  [`ions-${ion}`, ""],
  [`other-ions-${ion}`, ""],
  [`transfer-${ion}`, "1"],
  [`spread-${ion}`, unmeasuredSpread(ion)],
]);

const perSalt = saltNames.flatMap((salt) => [
  [`have-${salt}`, ""],
  [`purity-${salt}`, ""],
  [`salts-${salt}`, ""],
  [`other-salts-${salt}`, ""],
]);

/** Every field of the form with the value that an empty form starts from, in g, mL and °C. */
export const emptyMatch: MatchDraft = {
  name: "",
  experimentId: "",
  units: "metric",
  doseGrams: "20",
  brewWaterGrams: "320",
  beverageGrams: "278",
  arms: "same",
  way: "one-stock",
  target: "hardness",
  "hardness-hardness": "70",
  "hardness-alkalinity": "40",
  "hardness-magnesium": "50",
  "other-hardness-hardness": "",
  "other-hardness-alkalinity": "",
  "other-hardness-magnesium": "",
  ...Object.fromEntries(perIon),
  ...Object.fromEntries(perSalt),
  "have-magnesium-chloride-hexahydrate": "yes",
  "have-calcium-chloride-dihydrate": "yes",
  "have-potassium-bicarbonate": "yes",
  batchGrams: "2000",
  stockMillilitres: "250",
  doseMillilitres: "5.6",
  temperature: "20",
  kettleLossPercent: "0.5",
  kettleLossSpread: "0.2",
  saltScaleStep: "0.01",
  saltScaleTolerance: "0.02",
  scaleStep: "0.1",
  scaleTolerance: "0.2",
  doseBy: "scale",
  pipetteTolerance: "0.05",
  stockTolerance: "0.25",
  tolerancePercent: "5",
  brewsBefore: "6",
  brewsAfter: "6",
  firstBrewAt: "10:00",
  labelBefore: "K3",
  labelAfter: "R7",
};

/** What came in over what an empty form holds; a box that is not ticked sends nothing. */
export function typedMatch(form: RawForm): MatchDraft {
  return Object.fromEntries(Object.keys(emptyMatch).map((name) => [name, textOf(form, name)]));
}

/** The units that a draft is written in. */
export function unitsOf(draft: MatchDraft): UnitSystem {
  return draft.units === "us" ? "us" : "metric";
}

/** The same amounts in other units; text that is no number stays as typed. */
export function inUnits(draft: MatchDraft, system: UnitSystem): MatchDraft {
  const from = unitsOf(draft);
  if (from === system) return draft;
  const changed = Object.entries(measured).map(([name, quantity]) => {
    const typed = draft[name] ?? "";
    const number = numberFrom(typed);
    if (number === null) return [name, typed];
    return [name, written(fromMetric(toMetric(number, quantity, from), quantity, system), system)];
  });
  return { ...draft, ...Object.fromEntries(changed), units: system };
}

/** What a field's number is in g, mL or °C; null when it isn't one. */
export function metricNumber(draft: MatchDraft, name: string): number | null {
  const number = numberFrom(draft[name] ?? "");
  const quantity = measured[name];
  if (number === null || quantity === undefined) return number;
  return toMetric(number, quantity, unitsOf(draft));
}

/** Kept in full where it is stored, to six digits where it is read. */
function written(value: number, system: UnitSystem): string {
  return String(system === "metric" ? Number(value.toPrecision(12)) : Number(value.toPrecision(6)));
}
