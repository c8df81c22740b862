import { z } from "zod";
import { percentText } from "./number-text.ts";

/** Sentences that say what a result means, for the calculators that are read most. */
export function readingOf(name: string, input: unknown, output: unknown): string[] {
  const read = Object.hasOwn(readings, name) ? readings[name] : undefined;
  return read === undefined ? [] : read(input, output);
}

const readings: Readonly<Record<string, (input: unknown, output: unknown) => string[]>> = {
  "discrimination-test": readDiscrimination,
  "similarity-test": readSimilarity,
  "panel-size": readPanelSize,
};

const counted = z.object({
  sides: z.enum(["one", "two"]).default("one"),
  assessments: z.number(),
  correct: z.number(),
  alpha: z.number().default(0.05),
});
const limits = z.object({ estimate: z.number(), lower: z.number(), upper: z.number() });
const discrimination = z.object({
  pValue: z.number(),
  criticalCount: z.number().nullable(),
  significant: z.boolean(),
  proportionDistinguishing: limits,
});

function readDiscrimination(input: unknown, output: unknown): string[] {
  const { sides, assessments, correct, alpha } = counted.parse(input);
  const result = discrimination.parse(output);
  const chance = percentText(result.pValue);
  const luck =
    sides === "two"
      ? `If the cups were identical, a count as lopsided as ${correct} of ${assessments} would come up in ${chance} of such tastings.`
      : `If nobody could tell, ${correct} or more of ${assessments} would be correct in ${chance} of such tastings.`;
  if (result.significant) {
    return [
      luck,
      `That is rare enough at alpha ${alpha}: these cups can be told apart. Whether the difference is large enough to matter is a question of its own; whether the process makes it is tested over brew pairs.`,
    ];
  }
  const needed =
    result.criticalCount === null
      ? "no count would do with so few answers"
      : `${result.criticalCount} correct are needed`;
  const most = percentText(Math.max(0, result.proportionDistinguishing.upper));
  const leftOpen = sides === "two" ? "" : ` As many as ${most} of people may be able to tell.`;
  return [
    luck,
    `That is not rare enough at alpha ${alpha} (${needed}). It does not show that the cups are the same.${leftOpen}`,
  ];
}

const similarity = z.object({
  pValue: z.number(),
  upperLimit: z.number(),
  maximumCount: z.number().nullable(),
  similar: z.boolean(),
});

function readSimilarity(input: unknown, output: unknown): string[] {
  const { alpha } = counted.parse(input);
  const { margin } = z.object({ margin: z.number() }).parse(input);
  const { pValue, upperLimit, maximumCount, similar } = similarity.parse(output);
  const luck = `If ${percentText(margin)} of people could tell, so few correct answers would come up in ${percentText(pValue)} of such tastings.`;
  if (similar) {
    return [
      luck,
      `Close enough at alpha ${alpha}: fewer than ${percentText(margin)} can tell. The limit lies at ${percentText(Math.max(0, upperLimit))}.`,
    ];
  }
  const needed =
    maximumCount === null
      ? "No count would show it with so few answers."
      : `At most ${maximumCount} correct would show it.`;
  return [
    luck,
    `Not shown to be close enough at alpha ${alpha}. ${needed} That is no proof of a difference either.`,
  ];
}

const panel = z.object({
  assessments: z.number().nullable(),
  stableAssessments: z.number().nullable(),
  achievedPower: z.number().nullable(),
});

function readPanelSize(input: unknown, output: unknown): string[] {
  const { power } = z.object({ power: z.number() }).parse(input);
  const { assessments, stableAssessments, achievedPower } = panel.parse(output);
  if (assessments === null || achievedPower === null) {
    return [
      "No panel of a size that can be searched reaches this power. Ask for a larger effect or for less power.",
    ];
  }
  const smallest = `${assessments} answers are the fewest that find it in ${percentText(power)} of tastings or more (in ${percentText(achievedPower)}).`;
  if (stableAssessments === null || stableAssessments === assessments) return [smallest];
  return [
    smallest,
    `The power goes up and down with every answer more: from ${stableAssessments} on it never falls below ${percentText(power)} again.`,
  ];
}
