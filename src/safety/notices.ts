import { cautionRules } from "./caution-rules.ts";

export type Severity = "info" | "caution" | "stop";
export type Audience = "lead" | "taster";

/** What the cautions are computed from: one taster's sitting, and the most that any cup may hold. */
export interface CautionPlan {
  cups: number;
  millilitresPerCup: number;
  /** Share swallowed (1 = all, the default). */
  swallowedFraction?: number | undefined;
  /** Caffeine of the brew; 40 mg per 100 mL unless known. */
  caffeineMilligramsPer100mL?: number | undefined;
  /** °C in the cup when served; absent means nobody has planned it. */
  servingTemperature?: number | undefined;
  /** Added minerals, mg/L: per ion the largest amount that any cup of the session may hold. */
  addedMilligramsPerLitre?: AddedMinerals | undefined;
  /** Every added substance that any cup may hold, by name; never which cup. */
  substances?: readonly string[] | undefined;
  /** Declared allergens, beyond coffee itself. */
  allergens?: readonly string[] | undefined;
}

export interface AddedMinerals {
  calcium?: number | undefined;
  magnesium?: number | undefined;
  sodium?: number | undefined;
  potassium?: number | undefined;
  bicarbonate?: number | undefined;
  chloride?: number | undefined;
  sulfate?: number | undefined;
  citrate?: number | undefined;
}

/** A caution that applies to a plan. `values` holds the numbers of the text, for other languages. */
export interface Notice {
  code: string;
  severity: Severity;
  audience: readonly Audience[];
  text: string;
  values: Readonly<Record<string, number | string>>;
  source: string;
}

/**
 * The cautions that apply to a plan, gravest first. None replaces local food law, the employer's
 * safety rules or a doctor's word. Nothing in a notice tells one treatment from the other.
 */
export function notices(plan: CautionPlan): Notice[] {
  const found = cautionRules.flatMap((rule) => {
    const values = rule.applies(plan);
    if (values === null) return [];
    const { code, severity, audience, source } = rule;
    return [{ code, severity, audience, text: rule.text(values), values, source }];
  });
  const gravity: Severity[] = ["stop", "caution", "info"];
  return gravity.flatMap((severity) => found.filter((notice) => notice.severity === severity));
}
