import { alkalinity, hardness, type IonAmounts } from "./ions.ts";

/** A water wished for as hardness and alkalinity, both in mg/L as CaCO3. */
export interface HardnessTarget {
  hardness: number;
  alkalinity: number;
  /** Share of the hardness that magnesium makes, 0 to 1; calcium makes the rest. */
  magnesiumShare: number;
}

/**
 * Ions in mg/L that make a hardness and an alkalinity: the conversions of {@link hardness} and
 * {@link alkalinity} the other way round.
 * Source: APHA/AWWA/WEF, Standard Methods, 2340 B and 2320.
 */
export function ionsForHardness(target: HardnessTarget): IonAmounts {
  const { magnesiumShare } = target;
  return {
    calcium: ((1 - magnesiumShare) * target.hardness) / hardness({ calcium: 1 }).total,
    magnesium: (magnesiumShare * target.hardness) / hardness({ magnesium: 1 }).total,
    bicarbonate: target.alkalinity / alkalinity({ bicarbonate: 1 }),
  };
}
