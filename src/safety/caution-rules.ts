import { caffeineLoad } from "./caffeine.ts";
import { cupHeat, secondsToBurn, servingLimits } from "./heat.ts";
import { dailyReferences, mineralIntake, type ReferenceIon } from "./minerals.ts";
import type { Audience, CautionPlan, Severity } from "./notices.ts";

type Values = Readonly<Record<string, number | string>>;

/** One caution: when it applies, with which numbers, and what it says. */
export interface CautionRule {
  code: string;
  severity: Severity;
  audience: readonly Audience[];
  source: string;
  /** The numbers of the text when the caution applies, null when it doesn't. */
  applies(plan: CautionPlan): Values | null;
  text(values: Values): string;
}

const everyone: readonly Audience[] = ["lead", "taster"];
const leadOnly: readonly Audience[] = ["lead"];
const efsaCaffeine = "EFSA NDA Panel, Safety of caffeine, EFSA Journal 2015;13(5):4102";

export const cautionRules: readonly CautionRule[] = [
  {
    code: "caffeine-over-limit",
    severity: "stop",
    audience: everyone,
    source: efsaCaffeine,
    applies: (plan) => {
      const load = planned(plan);
      return load.withinLimit ? null : amounts(load);
    },
    text: ({ milligrams, limit }) =>
      `A taster would swallow about ${milligrams} mg of caffeine, more than ${limit} mg in one ` +
      "sitting. Serve fewer or smaller cups, provide spittoons, or split the session.",
  },
  {
    code: "caffeine-spit",
    severity: "caution",
    audience: everyone,
    source: efsaCaffeine,
    applies: (plan) => {
      const everything = planned({ ...plan, swallowedFraction: 1 });
      if (everything.withinLimit || !planned(plan).withinLimit) return null;
      return amounts(everything);
    },
    text: ({ milligrams, limit }) =>
      `Spit or sip: whoever swallows every cup takes about ${milligrams} mg of caffeine, more ` +
      `than ${limit} mg in one sitting.`,
  },
  {
    code: "caffeine-pregnancy",
    severity: "caution",
    audience: everyone,
    source: efsaCaffeine,
    applies: (plan) => whenAny(amounts(planned(plan))),
    text: ({ milligrams, limit }) =>
      `Pregnant, or told to limit caffeine? This sitting holds about ${milligrams} mg. In pregnancy ` +
      `${limit} mg is the most for the whole day, from everything you drink and eat. You can sit out.`,
  },
  {
    code: "caffeine-sleep",
    severity: "info",
    audience: everyone,
    source: efsaCaffeine,
    applies: (plan) => {
      const values = amounts(planned(plan));
      return values.milligrams >= 100 ? values : null;
    },
    text: ({ milligrams }) =>
      `About ${milligrams} mg of caffeine: 100 mg taken close to bedtime can already disturb sleep.`,
  },
  {
    code: "cup-too-hot",
    severity: "stop",
    audience: leadOnly,
    source: "Moritz, Henriques, Am J Pathol 1947;23:695–720; the limit is this program's own",
    applies: (plan) => {
      const heat = atHeat(plan, "too-hot");
      return heat && { ...heat, seconds: secondsToBurn(heat.temperature) ?? 0 };
    },
    text: ({ temperature, seconds }) =>
      `${temperature} °C scalds within ${seconds} s. Let the cups cool to ` +
      `${servingLimits.stopAbove} °C or less before anyone is served; under 65 °C is better.`,
  },
  {
    code: "cup-hot",
    severity: "caution",
    audience: everyone,
    source:
      "Burn-prevention chart after Moritz, Henriques 1947; IARC Monographs vol. 116 (2018): drinks above 65 °C",
    // Tasters are told of every cup that can scald; that it is too hot to serve is for the lead.
    applies: scalding,
    text: ({ temperature }) =>
      `Cups come at about ${temperature} °C and can scald: wait until they are comfortable.`,
  },
  {
    code: "cup-heat-unknown",
    severity: "caution",
    audience: everyone,
    source: "Abraham, Diller, J Food Sci 2019;84:2011–2014: serve at 54–71 °C",
    applies: (plan) => (plan.servingTemperature === undefined ? {} : null),
    text: () =>
      "Hot cups can scald. Measure before serving, serve under 65 °C, and wait if a cup feels hot.",
  },
  {
    code: "substances",
    severity: "caution",
    audience: everyone,
    source: "IFST Guidelines for ethical and professional practices for sensory analysis (2025)",
    applies: ({ substances = [] }) =>
      substances.length === 0 ? null : { substances: substances.join(", ") },
    text: ({ substances }) =>
      `Any cup may hold, besides coffee and water: ${substances}. Sit out if one is not for you.`,
  },
  {
    code: "allergies",
    severity: "caution",
    audience: everyone,
    source: "IFST Guidelines for ethical and professional practices for sensory analysis (2025)",
    applies: ({ allergens = [] }) => (allergens.length === 0 ? {} : null),
    text: () =>
      "No allergen is declared for these cups. With any allergy or intolerance, ask before tasting.",
  },
  {
    code: "allergens-declared",
    severity: "caution",
    audience: everyone,
    source: "IFST Guidelines for ethical and professional practices for sensory analysis (2025)",
    applies: ({ allergens = [] }) =>
      allergens.length === 0 ? null : { allergens: allergens.join(", ") },
    text: ({ allergens }) =>
      `Allergens: any cup may hold ${allergens}. With an allergy or intolerance to any of these, ` +
      "do not taste.",
  },
  {
    code: "minerals-kidney-heart",
    severity: "caution",
    audience: everyone,
    source: "WHO Guidelines for drinking-water quality, 4th ed. (2022), chapter 12, potassium",
    applies: (plan) => (addsMinerals(plan) ? {} : null),
    text: () =>
      "Mineral salts are added. With a kidney or heart condition, medicine that raises potassium, " +
      "or a limit on potassium, sodium or magnesium, ask your doctor first or sit out.",
  },
  ...(["potassium", "sodium", "magnesium"] as const).map(mineralAmount),
  {
    code: "magnesium-over-upper-level",
    severity: "stop",
    audience: leadOnly,
    source: "SCF 2001 / EFSA 2006: 250 mg a day of added, readily dissociable magnesium",
    applies: (plan) => {
      const values = swallowed(plan, "magnesium");
      return values && values.percent > 100 ? values : null;
    },
    text: ({ milligrams }) =>
      `A taster would swallow ${milligrams} mg of added magnesium, more than 250 mg a day, which ` +
      "can act as a laxative. Lower the recipe or the amount swallowed.",
  },
  {
    code: "food-grade",
    severity: "caution",
    audience: leadOnly,
    source: "Regulation (EC) No 1333/2008; Commission Regulation (EU) No 231/2012",
    applies: (plan) => (addsMinerals(plan) ? {} : null),
    text: () =>
      "Use food-grade salts only, each with a certificate that names lot, assay and hydrate. Garden, " +
      "bath or technical grades are not for drinking. Label every bottle; keep it closed and dry.",
  },
  {
    code: "opt-out",
    severity: "info",
    audience: everyone,
    source: "IFST Guidelines for ethical and professional practices for sensory analysis (2025)",
    applies: () => ({}),
    text: () =>
      "Tasting is voluntary: spit, sip, wait, skip a cup or stop at any time, no reason asked.",
  },
  {
    code: "health-answers",
    severity: "info",
    audience: leadOnly,
    source: "Regulation (EU) 2016/679, Articles 5 and 9",
    applies: () => ({}),
    text: () =>
      "Health is nobody's business here: record only that a person may sit or sits out, never why.",
  },
  {
    code: "local-codes",
    severity: "info",
    audience: leadOnly,
    source: "general duty of care",
    applies: () => ({}),
    text: () =>
      "Local food, drinking-water, workplace and equipment codes and licensed practitioners come " +
      "before anything said here.",
  },
];

function planned(plan: CautionPlan) {
  const { cups, millilitresPerCup, swallowedFraction, caffeineMilligramsPer100mL } = plan;
  const milligramsPer100mL = caffeineMilligramsPer100mL;
  return caffeineLoad({ cups, millilitresPerCup, swallowedFraction, milligramsPer100mL });
}

function amounts(load: { milligrams: number; limitMilligrams: number }) {
  return { milligrams: Math.round(load.milligrams), limit: load.limitMilligrams };
}

function whenAny(values: { milligrams: number; limit: number }) {
  return values.milligrams > 0 ? values : null;
}

function scalding({ servingTemperature }: CautionPlan) {
  if (servingTemperature === undefined || secondsToBurn(servingTemperature) === null) return null;
  return { temperature: servingTemperature };
}

function atHeat({ servingTemperature }: CautionPlan, heat: ReturnType<typeof cupHeat>) {
  if (servingTemperature === undefined || cupHeat(servingTemperature) !== heat) return null;
  return { temperature: servingTemperature };
}

function addsMinerals({ addedMilligramsPerLitre = {} }: CautionPlan): boolean {
  return Object.values(addedMilligramsPerLitre).some((amount) => (amount ?? 0) > 0);
}

function mineralAmount(ion: ReferenceIon): CautionRule {
  return {
    code: `added-${ion}`,
    severity: "info",
    audience: everyone,
    source: dailyReferences[ion].source,
    applies: (plan) => swallowed(plan, ion),
    text: ({ milligrams, percent }) =>
      `Added ${ion}: at most ${milligrams} mg in the sitting, ${percent} % of a day's reference amount.`,
  };
}

function swallowed(plan: CautionPlan, ion: ReferenceIon) {
  const volume = plan.cups * plan.millilitresPerCup * (plan.swallowedFraction ?? 1);
  const intake = mineralIntake(plan.addedMilligramsPerLitre ?? {}, volume);
  const found = intake.find((entry) => entry.ion === ion);
  if (!found || found.milligrams === 0) return null;
  return {
    milligrams: oneDecimal(found.milligrams),
    percent: oneDecimal(found.percentOfReference),
  };
}

function oneDecimal(value: number): number {
  return Math.round(value * 10) / 10;
}
