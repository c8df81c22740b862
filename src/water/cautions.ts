import { chargeBalance, type Ions } from "./ions.ts";
import { exceedances } from "./limits.ts";
import { saturation } from "./saturation.ts";

export interface WaterCaution {
  code: string;
  severity: "info" | "caution" | "stop";
  text: string;
  source: string;
}

/** What to mind when a water (ions in mg/L) is drunk or heated. */
export function waterCautions(ions: Ions): WaterCaution[] {
  const equipment = [...scale(ions), ...corrosion(ions)];
  return [
    ...imbalance(ions),
    ...guidelines(ions),
    ...equipment,
    ...(equipment.length > 0 ? [localCodes] : []),
  ];
}

/** Natural analyses balance within about 5 %; a larger gap points at a missing or mistyped ion. */
function imbalance(ions: Ions): WaterCaution[] {
  const { errorPercent } = chargeBalance(ions);
  if (errorPercent === null || Math.abs(errorPercent) <= 5) return [];
  const text =
    `Cations and anions differ by ${errorPercent.toFixed(1)} %: an ion is missing or mistyped, ` +
    "so that the predicted conductivity is off too.";
  const source = "APHA/AWWA/WEF, Standard Methods, 1030 E: checking correctness of analyses";
  return [{ code: "charge-imbalance", severity: "caution", text, source }];
}

function guidelines(ions: Ions): WaterCaution[] {
  return exceedances(ions).map(({ quantity, found, value, unit, authority, kind, source }) => ({
    code: `guideline-${quantity}-${authority.toLowerCase()}`,
    severity: quantity === "sodium" && value === 20 ? "info" : "caution",
    text: `${names[quantity]} is ${found.toFixed(0)} ${unit}, above ${value} (${authority}, ${kind}).`,
    source,
  }));
}

const names = {
  sodium: "Sodium",
  chloride: "Chloride",
  sulfate: "Sulfate",
  mineralContent: "Mineral content",
  conductivity20: "Conductivity",
} as const;

/** Brewing temperature at which scale is judged, °C. */
const kettleTemperature = 93;

function scale(ions: Ions): WaterCaution[] {
  const closed = saturation(ions, kettleTemperature, "closed").calcite ?? -1;
  const open = saturation(ions, kettleTemperature, "air").calcite ?? -1;
  if (closed <= 0 && open <= 0) return [];
  const text =
    `At ${kettleTemperature} °C calcium carbonate can drop out in the kettle or boiler ` +
    `(saturation index ${closed.toFixed(2)}, ${open.toFixed(2)} once CO2 has left): heat briefly ` +
    "under a lid, or add minerals after heating.";
  const source = "Plummer, Busenberg, Geochim Cosmochim Acta 1982;46:1011–1040";
  return [{ code: "scale", severity: closed > 0 ? "caution" : "info", text, source }];
}

/** mg/L from which boiler makers commonly warn of pitting in stainless steel. */
const chlorideForBoilers = 50;

function corrosion(ions: Ions): WaterCaution[] {
  const chloride = ions.chloride ?? 0;
  if (chloride <= chlorideForBoilers) return [];
  const text =
    `Chloride is ${chloride.toFixed(0)} mg/L: hot chloride pits stainless-steel boilers. Use a ` +
    "kettle that is rinsed afterwards, and the equipment maker's own limit.";
  return [{ code: "corrosion", severity: "caution", text, source: "common practice, no source" }];
}

const localCodes: WaterCaution = {
  code: "local-codes",
  severity: "info",
  text:
    "Local drinking-water, food and equipment codes, the maker's instructions and licensed " +
    "practitioners come before anything said here.",
  source: "general duty of care",
};
