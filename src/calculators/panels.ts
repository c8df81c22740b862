import { z } from "zod";
import { criticalCounts } from "../statistics/binomial.ts";
import { methods } from "../statistics/discrimination.ts";
import { type Effect, LARGEST_PANEL, panelSize, power } from "../statistics/panel-size.ts";
import { type Calculator, defineCalculator, type Refusal } from "./calculator.ts";
import {
  alphaField,
  assessmentsField,
  count,
  dPrimeField,
  finiteOrNull,
  methodField,
  powerField,
  proportionDistinguishingField,
  refuseField,
  sidesField,
  sidesMustFit,
} from "./fields.ts";

const effectFields = {
  proportionDistinguishing: proportionDistinguishingField.optional(),
  dPrime: dPrimeField.optional(),
};

const panelSizeCalculator = defineCalculator({
  name: "panel-size",
  summary: "How many assessments: the exact smallest panel for a difference or for similarity.",
  input: z
    .strictObject({
      method: methodField,
      sides: sidesField,
      goal: z.enum(["difference", "similarity"], {
        error: "Give the goal as difference or similarity.",
      }),
      alpha: alphaField,
      power: powerField,
      ...effectFields,
    })
    .superRefine(sidesMustFit),
  output: z.object({
    assessments: finiteOrNull,
    stableAssessments: finiteOrNull,
    criticalCount: finiteOrNull,
    achievedPower: finiteOrNull,
    achievedAlpha: finiteOrNull,
  }),
  compute: (input) => {
    const effect = effectOf(input);
    if ("refused" in effect) return effect;
    if (Object.values(effect)[0] === 0) return refuseZeroEffect(effect);
    return panelSize({ ...input, effect }) ?? beyondSearch;
  },
});

/** No panel up to the search's end reaches the power. */
const beyondSearch = {
  assessments: null,
  stableAssessments: null,
  criticalCount: null,
  achievedPower: null,
  achievedAlpha: null,
};

const discriminationPowerCalculator = defineCalculator({
  name: "discrimination-power",
  summary: "What a panel of a given size can find: exact power and the alpha really attained.",
  input: z
    .strictObject({
      method: methodField,
      sides: sidesField,
      assessments: assessmentsField,
      alpha: alphaField,
      ...effectFields,
    })
    .superRefine(sidesMustFit),
  output: z.object({
    criticalCount: finiteOrNull,
    power: z.number(),
    achievedAlpha: z.number(),
  }),
  compute: (input) => {
    const effect = effectOf(input);
    return "refused" in effect ? effect : power({ ...input, effect });
  },
});

const criticalCountsCalculator = defineCalculator({
  name: "critical-counts",
  summary: "The table of critical counts: fewest correct answers that are significant.",
  input: z
    .strictObject({
      method: methodField,
      sides: sidesField,
      alpha: alphaField,
      from: count("from, the first number of assessments,", 1, LARGEST_PANEL),
      to: count("to, the last number of assessments,", 1, LARGEST_PANEL),
    })
    .superRefine(sidesMustFit)
    .refine((input) => input.from <= input.to, {
      error: "Give a last number of assessments that is not before the first.",
      path: ["to"],
    }),
  output: z.object({
    rows: z.array(z.object({ assessments: z.number(), criticalCount: finiteOrNull })),
  }),
  compute: ({ method, sides, alpha, from, to }) => ({
    rows: criticalCounts(from, to, methods[method].guessing, alpha, sides),
  }),
});

/** Panels, their power and the tables of the standards. */
export const panelCalculators: Calculator[] = [
  panelSizeCalculator,
  discriminationPowerCalculator,
  criticalCountsCalculator,
];

function effectOf(input: {
  proportionDistinguishing?: number | undefined;
  dPrime?: number | undefined;
}): Effect | Refusal {
  const { proportionDistinguishing, dPrime } = input;
  if (proportionDistinguishing !== undefined && dPrime === undefined) {
    return { proportionDistinguishing };
  }
  if (dPrime !== undefined && proportionDistinguishing === undefined) return { dPrime };
  return refuseField(
    "proportionDistinguishing",
    "Give exactly one of proportionDistinguishing and dPrime.",
  );
}

function refuseZeroEffect(effect: Effect): Refusal {
  return refuseField(
    Object.keys(effect)[0] ?? "dPrime",
    "Give an effect above 0: no panel finds nothing, nor shows less than nothing.",
  );
}
