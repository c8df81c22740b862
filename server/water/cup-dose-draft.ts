import { cupDoseCalculator } from "../../src/calculators/cup-dose.ts";
import {
  type CupDose,
  type Dropper,
  doseForTarget,
  doseOfDrops,
  uncalibratedDropper,
} from "../../src/water/cup-dose.ts";
import { calibratedDropper } from "../../src/water/dropper-calibration.ts";
import { toMetric, type UnitSystem } from "../../src/water/entry-units.ts";
import { type SaltName, saltNames } from "../../src/water/salts.ts";
import { weighingUncertainty } from "../../src/water/weighing-uncertainty.ts";
import { type FieldErrors, numberFrom, type RawForm, textOf } from "../form.ts";
import { type NumberReader, numberReader } from "./number-reader.ts";

/** The cup-dose form with what an empty one starts from. */
export const emptyCupDose = {
  units: "metric",
  salt: "magnesium-chloride-hexahydrate",
  stockGramsPerLitre: "20",
  beverage: "120",
  asks: "target",
  target: "60",
  drops: "",
  countedDrops: "20",
  weighings: "",
  scaleStep: "0.01",
} as const;

export type CupDoseField = keyof typeof emptyCupDose;
export type CupDoseDraft = Readonly<Record<CupDoseField, string>>;

export interface CupDoseRequest {
  salt: SaltName;
  stockGramsPerLitre: number;
  dose: CupDose;
  dropper: Dropper;
  calibrated: boolean;
}

/** What a query typed, over the empty form. */
export function typedCupDose(query: RawForm): CupDoseDraft {
  const of = (name: CupDoseField) => (name in query ? textOf(query, name) : emptyCupDose[name]);
  return {
    units: of("units"),
    salt: of("salt"),
    stockGramsPerLitre: of("stockGramsPerLitre"),
    beverage: of("beverage"),
    asks: of("asks"),
    target: of("target"),
    drops: of("drops"),
    countedDrops: of("countedDrops"),
    weighings: of("weighings"),
    scaleStep: of("scaleStep"),
  };
}

export function cupDoseUnits({ units }: CupDoseDraft): UnitSystem {
  return units === "us" ? "us" : "metric";
}

export type ReadCupDose =
  | { ok: true; request: CupDoseRequest }
  | { ok: false; errors: FieldErrors };

/** Reads and computes a cup dose; every mistake comes back under its field's name. */
export function readCupDose(draft: CupDoseDraft): ReadCupDose {
  const typed = new Map<string, string>(Object.entries(draft));
  const read = numberReader((name) => numberFrom(typed.get(name) ?? ""));
  const salt = saltNames.find((name) => name === draft.salt) ?? saltNames[0];
  const calibration = readCalibration(draft, read);
  const dropper = calibration ?? uncalibratedDropper;
  const beverageGrams = toMetric(
    read("beverage", "the coffee in the cup"),
    "mass",
    cupDoseUnits(draft),
  );
  const stockGramsPerLitre = read("stockGramsPerLitre", "the stock's strength");
  const asksTarget = draft.asks !== "drops";
  const wish = asksTarget
    ? { target: { salt, milligramsPerLitre: read("target", "the target") } }
    : { drops: read("drops", "the drops") };
  if (Object.keys(read.errors).length > 0) return { ok: false, errors: read.errors };
  const checked = cupDoseCalculator.run({ beverageGrams, stockGramsPerLitre, ...dropper, ...wish });
  if (!checked.ok) {
    const named = checked.issues.map(({ path, message }) => [fieldOf(path[0]), message]);
    return { ok: false, errors: Object.fromEntries(named) };
  }
  const dose = wish.target
    ? doseForTarget(beverageGrams, wish.target.milligramsPerLitre, stockGramsPerLitre, dropper)
    : doseOfDrops(beverageGrams, wish.drops, stockGramsPerLitre, dropper);
  if (dose === null) throw new Error("the calculation was checked and yet has no dose");
  const calibrated = calibration !== null;
  return { ok: true, request: { salt, stockGramsPerLitre, dose, dropper, calibrated } };
}

/** Null when no drops were weighed. */
function readCalibration(draft: CupDoseDraft, read: NumberReader): Dropper | null {
  if (draft.weighings.trim() === "") return null;
  const grams = draft.weighings
    .trim()
    .split(/[\s;]+/)
    .map(numberFrom);
  const known = grams.filter((each) => each !== null && each > 0).map(Number);
  if (known.length < grams.length || known.length < 3) {
    read.errors.weighings =
      "Give at least three weighings in grams with a space between them, like 0.98 1.01 0.99.";
  }
  const drops = read("countedDrops", "the drops counted");
  const stepGrams = read("scaleStep", "the scale's step");
  if (drops <= 0) read.errors.countedDrops ??= "Give the drops counted as 1 or more.";
  if (stepGrams < 0) read.errors.scaleStep ??= "Give the scale's step as 0 or more.";
  const scaleGrams = weighingUncertainty({ stepGrams, toleranceGrams: 2 * stepGrams });
  return calibratedDropper({ drops, grams: known, scaleGrams, temperature: 20 });
}

function fieldOf(path: string | number | undefined): string {
  if (path === "beverageGrams") return "beverage";
  if (path === "dropMillilitres" || path === "dropRelativeUncertainty") return "weighings";
  return path === undefined ? "target" : String(path);
}
