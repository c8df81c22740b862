import type { Plan } from "../src/experiment/plan.ts";

/**
 * The demo's invented roastery at work: does a brew water with less bicarbonate taste brighter?
 * Coffees, waters, people and numbers are made up.
 */
export const demoPlan: Plan = {
  title: "Softer buffer for filter",
  question:
    "Does brew water with 20 instead of 55 mg/L of potassium bicarbonate make our filter coffees taste brighter?",
  hypothesis: "Less buffer leaves more acidity: brighter, and not sour.",
  treatments: {
    A: {
      name: "House water",
      description:
        "Distilled water with 55 mg/L potassium bicarbonate and 95 mg/L magnesium sulfate heptahydrate.",
      mineralsInReadingMilligramsPerLitre: 150,
    },
    B: {
      name: "Soft-buffer water",
      description:
        "Distilled water with 20 mg/L potassium bicarbonate and 95 mg/L magnesium sulfate heptahydrate.",
      mineralsInReadingMilligramsPerLitre: 115,
    },
  },
  coffees: [
    { id: "c1", name: "Petrel", roast: "light" },
    { id: "c2", name: "Bramble", roast: "medium" },
    { id: "c3", name: "Anvil", roast: "medium-dark" },
    { id: "c4", name: "Cinder", roast: "dark" },
  ],
  endpoints: [
    {
      id: "e1",
      role: "primary",
      kind: "direction",
      attribute: "brightness",
      expected: null,
      margin: 0.25,
    },
    { id: "e2", role: "secondary", kind: "extraction-yield", margin: 0.5 },
    { id: "e3", role: "exploratory", kind: "preference", margin: 0.25 },
    {
      id: "e4",
      role: "exploratory",
      kind: "attribute-score",
      attribute: "sweetness",
      lowAnchor: "not sweet",
      highAnchor: "very sweet",
      margin: 8,
    },
  ],
  alpha: 0.05,
  coffeeClaims: "after-overall",
  tasters: 14,
  spareSeats: 4,
  brewPairsPerCoffee: 2,
  replicates: 1,
  controls: { samePot: 1, sameTreatmentPairsPerCoffee: 0 },
  coffeeOrder: "rounds",
  cannotTellAllowed: false,
  brewers: ["Left brewer", "Right brewer"],
  recipe: {
    doseGrams: 42,
    brewWaterGrams: 680,
    millilitresPerCup: 12,
    servingTemperatureCelsius: 58,
  },
  brewLimits: { doseGrams: 0.2, brewWaterGrams: 4, brewSeconds: 15, tdsSpreadPercent: 0.04 },
  substances: ["potassium bicarbonate", "magnesium sulfate"],
  exclusionRule: "Only sets voided in the incident log before the key is opened are left out.",
  translations: {
    de: {
      brightness: "lebhafte Säure",
      sweetness: "Süße",
      "not sweet": "nicht süß",
      "very sweet": "sehr süß",
      "potassium bicarbonate": "Kaliumhydrogencarbonat",
      "magnesium sulfate": "Magnesiumsulfat",
    },
  },
};

/** Initials of the demo's tasters. */
export const demoTasters = [
  "A.D.",
  "B.K.",
  "C.W.",
  "D.O.",
  "E.F.",
  "F.N.",
  "G.P.",
  "H.S.",
  "I.R.",
  "J.L.",
  "K.M.",
  "L.T.",
  "M.V.",
  "N.B.",
];

/** How the demo's tasters truly are, by coffee: what the report should find. */
export const demoTruth = {
  /** Lean towards B on the logit scale when asked which is brighter. */
  brighter: { c1: 1.2, c2: 0.9, c3: 1.0, c4: 0.8 },
  /** Share of tasters who can tell the cups of a triangle apart. */
  detectors: { c1: 0.5, c2: 0.4, c3: 0.4, c4: 0.35 },
  /** Mean difference of sweetness, B less A, in points. */
  sweeter: { c1: 2, c2: 0, c3: -2, c4: 1 },
  /** Spread between pots on the logit scale. */
  potSpread: 0.3,
  /** True extraction yield, percent. */
  extraction: { c1: 19.4, c2: 20.1, c3: 20.6, c4: 21.0 },
} as const;
