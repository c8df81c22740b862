export interface PairFinding {
  coffeeId: string;
  pair: number;
  controlPair: boolean;
  answers: number;
  /** Share correct, share picking B, mean score difference or yield difference. */
  value: number;
}

/** Does the treatment matter beyond these pots? Brew pairs are the unit. */
export interface ProcessClaim {
  status: "shown" | "not-shown" | "too-few-pairs" | "no-control-pairs" | "no-data";
  method: "sign-flip-over-brew-pairs" | "contrast-with-control-pairs";
  pairs: number;
  favouringA: number | null;
  favouringB: number | null;
  even: number | null;
  /** Mean over pairs: lean, points; for the contrast share correct less that of control pairs. */
  estimate: number | null;
  pValue: number | null;
  adjustedPValue: number | null;
  smallestPossiblePValue: number | null;
  claimable: boolean;
  /** Fewest brew pairs that could ever claim it at alpha; null for a contrast without control pairs. */
  pairsForAnyClaim: number | null;
  pairList: PairFinding[];
}
