import { conductivity } from "./conductivity.ts";
import { type Ions, mineralContent } from "./ions.ts";

export type LimitedQuantity =
  | "sodium"
  | "chloride"
  | "sulfate"
  | "mineralContent"
  | "conductivity20";

/** A published value that a drinking water may be held against; none is a limit of this program. */
export interface GuidelineValue {
  quantity: LimitedQuantity;
  value: number;
  unit: "mg/L" | "µS/cm at 20 °C";
  authority: "WHO" | "EU" | "US";
  kind: string;
  source: string;
}

const who = "WHO, Guidelines for drinking-water quality, 4th ed. with addenda (2022), chapter 10";
const eu = "Directive (EU) 2020/2184, Annex I part C";
const us = "US 40 CFR 143.3";

export const guidelineValues: readonly GuidelineValue[] = [
  value("sodium", 200, "WHO", "taste threshold", who),
  value("sodium", 200, "EU", "indicator parameter", eu),
  value("sodium", 20, "US", "advice for sodium-restricted diets", "US EPA advisory (2003)"),
  value("chloride", 250, "WHO", "taste threshold", who),
  value("chloride", 250, "EU", "indicator parameter", eu),
  value("chloride", 250, "US", "secondary level", us),
  value("sulfate", 250, "WHO", "taste threshold", who),
  value("sulfate", 250, "EU", "indicator parameter", eu),
  value("sulfate", 250, "US", "secondary level", us),
  value("sulfate", 500, "WHO", "level to notify (laxative effect above 1000)", `${who}; 2004`),
  value("mineralContent", 500, "US", "secondary level", us),
  value("mineralContent", 1200, "WHO", "unacceptable taste above", "WHO, TDS background (1996)"),
  { ...value("conductivity20", 2500, "EU", "indicator parameter", eu), unit: "µS/cm at 20 °C" },
];

export interface Exceedance extends GuidelineValue {
  found: number;
}

/**
 * The published values that a water (mg/L) exceeds. Potassium, calcium, magnesium and bicarbonate
 * have no guideline value in the WHO, EU or US lists.
 */
export function exceedances(ions: Ions): Exceedance[] {
  const found: Record<LimitedQuantity, number> = {
    sodium: ions.sodium ?? 0,
    chloride: ions.chloride ?? 0,
    sulfate: ions.sulfate ?? 0,
    mineralContent: mineralContent(ions),
    conductivity20: conductivity(ions, 20),
  };
  return guidelineValues
    .filter((guideline) => found[guideline.quantity] > guideline.value)
    .map((guideline) => ({ ...guideline, found: found[guideline.quantity] }));
}

function value(
  quantity: LimitedQuantity,
  amount: number,
  authority: GuidelineValue["authority"],
  kind: string,
  source: string,
): GuidelineValue {
  return { quantity, value: amount, unit: "mg/L", authority, kind, source };
}
