import type { BrewRecord, RejectionReason } from "./brew-log.ts";
import type { Plan } from "./plan.ts";

/** One thing about a brew that lies outside the sealed limits. */
export interface LimitBreach {
  reason: RejectionReason;
  /** What is off and by how much, in words. */
  finding: string;
}

/**
 * What of a pot's inputs lies outside the plan's limits: dose and water against the recipe, the
 * brew time against the other pot of the pair, the repeated readings against each other. Never its
 * yield. Without limits in the plan there is no breach.
 */
export function limitBreaches(
  brew: BrewRecord,
  other: BrewRecord | null,
  plan: Pick<Plan, "recipe" | "brewLimits">,
): LimitBreach[] {
  const { recipe, brewLimits: limits } = plan;
  if (limits === null) return [];
  const readings = brew.tdsReadingsPercent;
  const checks: [RejectionReason, string, number, number, string][] = [
    [
      "dose-outside-limit",
      "dose",
      Math.abs(brew.doseGrams - recipe.doseGrams),
      limits.doseGrams,
      "g off the recipe",
    ],
    [
      "water-outside-limit",
      "water",
      Math.abs(brew.brewWaterGrams - recipe.brewWaterGrams),
      limits.brewWaterGrams,
      "g off the recipe",
    ],
    [
      "time-outside-limit",
      "brew time",
      other === null ? 0 : Math.abs(brew.brewSeconds - other.brewSeconds),
      limits.brewSeconds,
      "s from the other pot of its pair",
    ],
    [
      "readings-disagree",
      "readings",
      Math.max(...readings) - Math.min(...readings),
      limits.tdsSpreadPercent,
      "% TDS apart",
    ],
  ];
  return checks
    .filter(([, , off, limit]) => off > limit + ROUNDING)
    .map(([reason, what, off, limit, unit]) => ({
      reason,
      finding: `${what} ${rounded(off)} ${unit} (limit ${limit})`,
    }));
}

/** 0.3 g off may be computed as 0.30000000000000004; the limit itself passes. */
const ROUNDING = 1e-9;

const rounded = (value: number) => Number(value.toFixed(3));

/** Reasons that a person judges, beside those that the limits show. */
export const judgedReasons: readonly RejectionReason[] = [
  "fault-of-brewer-or-handling",
  "held-too-long",
];

/** A rejection reason in words. */
export const reasonWords: Record<RejectionReason, string> = {
  "dose-outside-limit": "The dose was outside its limit",
  "water-outside-limit": "The water was outside its limit",
  "time-outside-limit": "The brew times of the pair were too far apart",
  "readings-disagree": "Repeated readings disagree",
  "fault-of-brewer-or-handling": "A brewer failed, or the pot was mishandled",
  "held-too-long": "The pot was held too long before pouring",
};
