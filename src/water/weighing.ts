import type { WaterCaution } from "./cautions.ts";
import { type SaltName, saltLabel } from "./salts.ts";

export interface Weighing {
  salt: SaltName;
  grams: number;
}

/** Steps of the display that a weighing should span, so that rounding stays under half a percent. */
const fewestSteps = 100;

/** The mass a scale of this resolution (g) can show; a resolution of 0 shows anything. */
export function onScale(grams: number, resolutionGrams: number): number {
  if (resolutionGrams === 0) return grams;
  return Math.round(grams / resolutionGrams) * resolutionGrams;
}

/** Weighings that span under a hundred steps of the scale, with how much larger a lot would do. */
export function weighingCautions(
  weighings: readonly Weighing[],
  resolutionGrams: number,
  vessel: string,
): WaterCaution[] {
  return weighings.flatMap(({ salt, grams }) => {
    if (grams === 0 || grams >= fewestSteps * resolutionGrams) return [];
    const factor = (fewestSteps * resolutionGrams) / grams;
    const text =
      `${saltLabel(salt)}: ${grams.toPrecision(3)} g for the ${vessel} is ${(grams / resolutionGrams).toPrecision(2)} ` +
      `steps of a ${resolutionGrams} g scale. Make ${factor.toPrecision(3)} times as much and draw ` +
      "off what is needed, or use a finer scale.";
    const source = "a hundred display steps keep rounding under 0.5 %";
    return [{ code: "weighing-small", severity: "caution", text, source }];
  });
}
