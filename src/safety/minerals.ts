/** Reference amounts that the shares are taken of, milligrams a day for adults. */
export const dailyReferences = {
  magnesium: {
    milligrams: 250,
    kind: "upper level",
    source: "SCF 2001 / EFSA 2006: readily dissociable magnesium added to food and water",
  },
  sodium: {
    milligrams: 2000,
    kind: "safe and adequate intake",
    source: "EFSA Journal 2019;17(9):5778",
  },
  potassium: {
    milligrams: 3500,
    kind: "adequate intake",
    source: "EFSA Journal 2016;14(10):4592",
  },
  chloride: {
    milligrams: 3100,
    kind: "safe and adequate intake",
    source: "EFSA Journal 2019;17(9):5779",
  },
} as const;

export type ReferenceIon = keyof typeof dailyReferences;

export interface MineralIntake {
  ion: ReferenceIon;
  milligrams: number;
  /** Percent of the day's reference amount. */
  percentOfReference: number;
  kind: string;
  source: string;
}

/**
 * Minerals that one taster swallows with the additions, beside a day's reference amounts (these
 * are no limits for people with kidney or heart disease or a diet, who go by their own).
 * Concentrations are mg/L added to the cup; ions without a reference amount are left out.
 */
export function mineralIntake(
  addedMilligramsPerLitre: Readonly<Partial<Record<ReferenceIon, number | undefined>>>,
  millilitresSwallowed: number,
): MineralIntake[] {
  const ions: ReferenceIon[] = ["magnesium", "sodium", "potassium", "chloride"];
  return ions.flatMap((ion) => {
    const concentration = addedMilligramsPerLitre[ion] ?? 0;
    if (concentration === 0) return [];
    const reference = dailyReferences[ion];
    const milligrams = (concentration * millilitresSwallowed) / 1000;
    return [
      {
        ion,
        milligrams,
        percentOfReference: (100 * milligrams) / reference.milligrams,
        kind: reference.kind,
        source: reference.source,
      },
    ];
  });
}
