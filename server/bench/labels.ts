/** Words for the fields that a name alone would not explain. */
const labels: Readonly<Record<string, string>> = {
  "adjust-p": "Adjust p-values",
  alpha: "Alpha",
  achievedAlpha: "Alpha really attained",
  achievedPower: "Power really attained",
  ab: "Two cups, A and B",
  assessments: "Answers in all",
  correct: "Correct answers",
  criticalCount: "Fewest correct for a difference",
  dPrime: "d′",
  df: "Degrees of freedom",
  describe: "Describe values",
  dl: "DerSimonian–Laird",
  doseGrams: "Coffee dose (g)",
  doseMillilitres: "Dose of stock after brewing (mL)",
  drops: "Drops",
  equivalence: "Equivalence of scores or yields",
  errorDf: "Degrees of freedom, error",
  exact: "Exact",
  favour: "Answers for treatment A",
  friedman: "Friedman test",
  guessing: "Correct by guessing",
  hksj: "Hartung–Knapp–Sidik–Jonkman",
  iSquaredPercent: "I² (%)",
  "ions-to-salts": "From ions to salts",
  lower: "Lower limit",
  margin: "Margin: share who can tell",
  maximumCount: "Most correct for similarity",
  minimumCount: "Fewest correct for similarity",
  n: "Number",
  "paired-size": "How many pairs",
  "panel-size": "How many answers",
  "discrimination-power": "What a panel can find",
  proportionDistinguishing: "Share who can tell (pd)",
  pValue: "p",
  pValues: "p-values",
  q: "Q",
  psychometric: "d′ and proportion correct",
  reml: "Restricted maximum likelihood",
  "salts-to-ions": "From salts to ions",
  sd: "Standard deviation",
  stableAssessments: "Answers from which power stays",
  tdsPercent: "TDS (%)",
  "three-afc": "3-AFC",
  "two-way": "Two-way analysis of variance",
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
  transfer: "Share of an even spread that reaches the cup: one number, or by ion.",
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

/** A calculator's message with field names replaced by what the form calls them. */
export function inFormWords(message: string): string {
  return message.replace(/(?<![\w.])[a-z]+[A-Z]\w*/g, (name) => `“${labelOf(name)}”`);
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
