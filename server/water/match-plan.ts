import { matchMineralsCalculator } from "../../src/calculators/match-minerals.ts";
import { type Ions, ionNames } from "../../src/water/ions.ts";
import { type MatchPlan, sameRecipe } from "../../src/water/match-plan.ts";
import type { MatchWay } from "../../src/water/time-list.ts";
import { rectangular, weighingUncertainty } from "../../src/water/weighing-uncertainty.ts";
import type { FieldErrors } from "../form.ts";
import { fieldOfPath } from "./issue-field.ts";
import { type MatchDraft, metricNumber } from "./match-draft.ts";
import { numberReader } from "./number-reader.ts";
import { readTargets, type Targets } from "./targets.ts";

/** A match form that can be computed. */
export interface MatchRequest {
  plan: MatchPlan;
  way: MatchWay;
  targets: Targets;
  /** Whether doses are weighed instead of measured by volume. */
  dosesWeighed: boolean;
}

export type ReadMatch = { ok: true; request: MatchRequest } | { ok: false; errors: FieldErrors };

/** Reads a match form; every mistake comes back under its field's name. */
export function readMatch(draft: MatchDraft): ReadMatch {
  const read = numberReader((name) => metricNumber(draft, name));
  const targets = readTargets(draft, read);
  const dosesWeighed = draft.doseBy !== "pipette";
  const plan = planFrom(draft, read, targets, dosesWeighed);
  const errors = { ...read.errors, ...targets.errors, ...timeError(draft), ...labelErrors(draft) };
  if (Object.keys(errors).length > 0) return { ok: false, errors };
  const checked = matchMineralsCalculator.run(plan);
  if (!checked.ok) {
    const named = checked.issues.map(({ path, message }) => [
      fieldOfPath(path, plan, draft),
      message,
    ]);
    return { ok: false, errors: Object.fromEntries(named.reverse()) };
  }
  return { ok: true, request: { plan, way: wayOf(draft, plan), targets, dosesWeighed } };
}

type Read = ReturnType<typeof numberReader>;

function planFrom(
  draft: MatchDraft,
  read: Read,
  { salts, afterSalts }: Targets,
  dosesWeighed: boolean,
): MatchPlan {
  return {
    doseGrams: read("doseGrams", "the coffee dose"),
    brewWaterGrams: read("brewWaterGrams", "the brew water"),
    beverageGrams: read("beverageGrams", "the beverage's mass"),
    doseMillilitres: read("doseMillilitres", "the dose"),
    salts,
    afterSalts,
    baseIons: baseIons(draft, read),
    transfer: factors(read),
    batchGrams: read("batchGrams", "the batch"),
    stockMillilitres: read("stockMillilitres", "the stock's volume"),
    kettleLossFraction: read("kettleLossPercent", "the kettle's loss") / 100,
    instruments: instruments(read, dosesWeighed),
    weighed: {},
    brews: {
      before: read("brewsBefore", "the brews"),
      after: read("brewsAfter", "the brews"),
    },
    tolerancePercent: read("tolerancePercent", "the tolerance"),
    temperature: read("temperature", "the temperature"),
  };
}

/** The base water's ions; an empty field is an ion that is not there. */
function baseIons(draft: MatchDraft, read: Read): Ions {
  const named = ionNames.filter((ion) => (draft[`base-${ion}`] ?? "").trim() !== "");
  return Object.fromEntries(named.map((ion) => [ion, read(`base-${ion}`, ion)]));
}

/** One factor where all ions pass alike, so that nothing is said of differences that aren't there. */
function factors(read: Read): MatchPlan["transfer"] {
  const each = ionNames.map((ion): [string, number] => [
    ion,
    read(`transfer-${ion}`, "the transfer"),
  ]);
  const [first] = each;
  if (first !== undefined && each.every(([, factor]) => factor === first[1])) return first[1];
  return Object.fromEntries(each);
}

function instruments(read: Read, dosesWeighed: boolean): MatchPlan["instruments"] {
  const scaleResolutionGrams = read("saltScaleStep", "the step");
  const saltScale = {
    stepGrams: scaleResolutionGrams,
    toleranceGrams: read("saltScaleTolerance", "the tolerance"),
  };
  const bigScale = {
    stepGrams: read("scaleStep", "the step"),
    toleranceGrams: read("scaleTolerance", "the tolerance"),
  };
  const pipette = rectangular(read("pipetteTolerance", "the tolerance"));
  return {
    scaleGrams: weighingUncertainty(saltScale),
    scaleResolutionGrams,
    pipetteMillilitres: dosesWeighed ? weighingUncertainty(saltScale) : pipette,
    yieldGrams: weighingUncertainty(bigScale),
    batchGrams: weighingUncertainty(bigScale),
    stockMillilitres: rectangular(read("stockTolerance", "the tolerance")),
    kettleLossFraction: read("kettleLossSpread", "the uncertainty") / 100,
    transfer: Object.fromEntries(
      ionNames.map((ion) => [ion, read(`spread-${ion}`, "the uncertainty")]),
    ),
  };
}

/** One stock and the double dummy need the same minerals in both arms. */
function wayOf(draft: MatchDraft, plan: MatchPlan): MatchWay {
  if (!sameRecipe(plan)) return "weighed";
  if (draft.way === "weighed" || draft.way === "double-dummy") return draft.way;
  return "one-stock";
}

function timeError({ firstBrewAt = "" }: MatchDraft): FieldErrors {
  if (/^([01]?\d|2[0-3]):[0-5]\d$/.test(firstBrewAt.trim())) return {};
  return { firstBrewAt: "Give the time as hours and minutes, like 9:30." };
}

function labelErrors({ labelBefore = "", labelAfter = "" }: MatchDraft): FieldErrors {
  const errors: Record<string, string> = {};
  for (const [name, label] of Object.entries({ labelBefore, labelAfter })) {
    if (!/^\S{1,8}$/.test(label.trim())) errors[name] = "Give a label of 1 to 8 letters or digits.";
  }
  if (labelBefore.trim() === labelAfter.trim())
    errors.labelAfter ??= "Give the two waters different labels.";
  return errors;
}
