/** Words for the fields that a name alone would not explain. */
const labels: Readonly<Record<string, string>> = {
  adjustedP: "Adjusted p",
  alpha: "Alpha",
  achievedAlpha: "Alpha really attained",
  achievedPower: "Power really attained",
  ab: "Two cups, A and B",
  assessments: "Answers in all",
  correct: "Correct answers",
  criticalCount: "Fewest correct for a difference",
  dPrime: "d′",
  df: "Degrees of freedom",
  dl: "DerSimonian–Laird",
  errorDf: "Degrees of freedom, error",
  exact: "Exact",
  favour: "Answers for treatment A",
  guessing: "Correct by guessing",
  hksj: "Hartung–Knapp–Sidik–Jonkman",
  iSquaredPercent: "I² (%)",
  lower: "Lower limit",
  margin: "Margin: share who can tell",
  maximumCount: "Most correct for similarity",
  minimumCount: "Fewest correct for similarity",
  n: "Number",
  pairs: "Pairs",
  proportionDistinguishing: "Share who can tell (pd)",
  pValue: "p",
  pValues: "p-values",
  q: "Q",
  reml: "Restricted maximum likelihood",
  sd: "Standard deviation",
  stableAssessments: "Answers from which power stays",
  tdsPercent: "TDS (%)",
  "three-afc": "3-AFC",
  upper: "Upper limit",
  upperLimit: "Upper limit of pd",
};

/** What a field asks for, where its label is not enough. */
const hints: Readonly<Record<string, string>> = {
  alpha: "The chance of a false alarm that you accept, as a fraction.",
  assessments: "How many sets of cups were judged.",
  confidence: "Of the interval, as a fraction.",
  margin: "The largest share of people who can tell that would not matter; fixed before tasting.",
  power: "The chance of finding the effect, as a fraction: 0.8 is usual.",
  proportionDistinguishing: "As a fraction. Give this or d′.",
  dPrime: "Size of the difference on the scale that all methods share.",
  sides: "Two for a paired comparison whose direction was not fixed before serving.",
  seed: "Any text; the same text gives the same plan.",
};

const units: readonly (readonly [RegExp, string])[] = [
  [/MilligramsPerLitre$|^milligramsPerLitre$/, "mg/L"],
  [/MilligramsPer100mL$|^milligramsPer100mL$/, "mg per 100 mL"],
  [/GramsPerLitre$|^gramsPerLitre$/, "g/L"],
  [/MicrosiemensPerCentimetre$|^microsiemensPerCentimetre$/, "µS/cm"],
  [/MillilitresPerCup$|^millilitresPerCup$/, "mL"],
  [/Milligrams$|^milligrams$/, "mg"],
  [/Grams$|^grams$/, "g"],
  [/Millilitres$|^millilitres$/, "mL"],
  [/Seconds$|^seconds$/, "s"],
  [/Percent$|^percent$/, "%"],
];

/** `brewWaterGrams` → "Brew water (g)", `two-sided` → "Two-sided". */
export function labelOf(name: string): string {
  const known = Object.hasOwn(labels, name) ? labels[name] : undefined;
  if (known !== undefined) return known;
  const unit = units.find(([pattern]) => pattern.test(name));
  if (unit === undefined) return sentence(name);
  const [pattern, symbol] = unit;
  const quantity = name.replace(
    pattern,
    name.startsWith("millilitresPerCup") ? "volumePerCup" : "",
  );
  return quantity === "" ? symbol : `${sentence(quantity)} (${symbol})`;
}

/** What to type in a field; null when its label says it. */
export function hintOf(name: string): string | null {
  return (Object.hasOwn(hints, name) ? hints[name] : undefined) ?? null;
}

function sentence(name: string): string {
  const words = name
    .replace(
      /([a-z0-9])([A-Z])/g,
      (_match, before: string, after: string) => `${before} ${after.toLowerCase()}`,
    )
    .replace(/(^|[a-z]{3,})-(?=[a-z]{3,})/g, "$1 ")
    .replace(/^(\d+)$/, "Value $1");
  return words.charAt(0).toUpperCase() + words.slice(1);
}
