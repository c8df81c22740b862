import { calciumCarbonateMass } from "./elements.ts";

/**
 * Hardness in mg/L as CaCO3 from an EDTA titration: one mole of EDTA for one of calcium or magnesium.
 * Source: APHA/AWWA/WEF, Standard Methods, 2340 C.
 */
export function titratedHardness(titration: Titration): number {
  return (
    (titration.millilitres * titration.molarity * 1000 * calciumCarbonateMass) /
    titration.sampleMillilitres
  );
}

/**
 * Alkalinity in mg/L as CaCO3 from a titration with strong acid (normality = molarity): two moles of
 * acid for one of CaCO3.
 * Source: APHA/AWWA/WEF, Standard Methods, 2320 B.
 */
export function titratedAlkalinity(titration: Titration): number {
  return titratedHardness(titration) / 2;
}

export interface Titration {
  millilitres: number;
  /** mol/L of the titrant. */
  molarity: number;
  sampleMillilitres: number;
}

export interface BatchAgreement {
  /** Measured less predicted. */
  difference: number;
  expandedUncertainty: number;
  agrees: boolean;
}

/**
 * Whether a batch of water is what it was meant to be: measured and predicted agree when they differ
 * by no more than the expanded uncertainty (k = 2) of their difference. All in one unit.
 * Source: the E_n criterion, ISO 13528:2022, 9.6 (there with expanded uncertainties).
 */
export function batchAgreement(
  predicted: { value: number; standardUncertainty: number },
  measured: { value: number; standardUncertainty: number },
): BatchAgreement {
  const difference = measured.value - predicted.value;
  const spread = Math.hypot(predicted.standardUncertainty, measured.standardUncertainty);
  const expandedUncertainty = 2 * spread;
  const agrees = Math.abs(difference) <= expandedUncertainty * (1 + 1e-12);
  return { difference, expandedUncertainty, agrees };
}
