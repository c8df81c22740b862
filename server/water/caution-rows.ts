import type { WaterCaution } from "../../src/water/cautions.ts";

export interface CautionRow {
  severity: string;
  text: string;
  source: string;
  serious: boolean;
}

const severityWords = { stop: "Stop", caution: "Caution", info: "Note" } as const;

/** Cautions with the most serious first, each said once. */
export function cautionRows(cautions: readonly WaterCaution[]): CautionRow[] {
  const order = { stop: 0, caution: 1, info: 2 };
  const once = [...new Map(cautions.map((caution) => [caution.text, caution])).values()];
  return once
    .toSorted((left, right) => order[left.severity] - order[right.severity])
    .map(({ severity, text, source }) => ({
      severity: severityWords[severity],
      text,
      source,
      serious: severity !== "info",
    }));
}
