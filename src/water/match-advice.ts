import { type MatchPlan, sameRecipe } from "./match-plan.ts";
import type { IonMismatch, Mismatch } from "./mismatch.ts";
import type { MatchWay } from "./time-list.ts";

/** How a match is made, as far as it is known: what is chosen already is no advice. */
export interface Making {
  way: MatchWay;
  /** Whether doses are weighed; absent where nobody has said. */
  dosesWeighed?: boolean | undefined;
}

/** Of a smaller share of the variance nothing is said: without it the match would stand as it stands. */
const worthMendingShare = 0.05;

type Cause = "transfer" | "weighing" | "dose" | "beverage" | "kettle" | "volume";

/**
 * What to change when a match doesn't pass: which uncertainty dominates that of the worst ion, with its
 * share of the variance, then what helps against every cause that counts, of what is not chosen yet.
 */
export function matchAdvice(
  plan: MatchPlan,
  { ions, verdict }: Mismatch,
  making: Making,
): string[] {
  if (verdict === "passes") return [];
  const design = sameRecipe(plan)
    ? []
    : ["The two arms get different recipes by design: judge each against its own target."];
  const worst = leastCertain(ions);
  if (worst === null) return design;
  const shares = sharesOf(worst);
  const [largest] = shares;
  if (largest === undefined) return design;
  const percent = Math.round(100 * largest.share);
  const dominates = `Least certain is ${worst.ion}: ${causeWords[largest.cause]} makes ${percent} % of its variance.`;
  const worthMending = shares.filter(({ share }) => share >= worthMendingShare);
  return [...design, dominates, ...worthMending.map(({ cause }) => remedies[cause](plan, making))];
}

function leastCertain(ions: readonly IonMismatch[]): IonMismatch | null {
  const reach = (ion: IonMismatch) => ion.fromIntention.expandedUncertaintyPercent ?? 0;
  return ions.reduce<IonMismatch | null>(
    (most, ion) => (most === null || reach(ion) > reach(most) ? ion : most),
    null,
  );
}

/** Each cause's share of an ion's variance, the largest first; empty where nothing is uncertain. */
function sharesOf({ budget }: IonMismatch): { cause: Cause; share: number }[] {
  const variances = new Map<Cause, number>();
  for (const { source, milligramsPerLitre } of budget) {
    const cause = causeOf(source);
    variances.set(cause, (variances.get(cause) ?? 0) + milligramsPerLitre ** 2);
  }
  const whole = [...variances.values()].reduce((sum, variance) => sum + variance, 0);
  if (whole === 0) return [];
  return [...variances]
    .map(([cause, variance]) => ({ cause, share: variance / whole }))
    .toSorted((one, other) => other.share - one.share);
}

function causeOf(source: string): Cause {
  if (source === "transfer") return "transfer";
  if (source.includes("weighing")) return "weighing";
  if (source.includes("dose") || source.includes("into brew water")) return "dose";
  if (source.includes("beverage")) return "beverage";
  return source.includes("kettle") ? "kettle" : "volume";
}

const causeWords: Readonly<Record<Cause, string>> = {
  transfer: "the transfer from brew water to cup",
  weighing: "the weighing of the salts",
  dose: "the dosing",
  beverage: "the beverage’s mass",
  kettle: "the kettle’s loss",
  volume: "the volumes of batch and stock",
};

const remedies: Readonly<Record<Cause, (plan: MatchPlan, making: Making) => string>> = {
  transfer: () =>
    "Measure the transfer, and type its factor and uncertainty in: no better scale, stock or dose makes up for it.",
  weighing: (plan, { way }) =>
    `Weigh larger lots (bigger batch, stronger or larger stock)${way === "weighed" && sameRecipe(plan) ? ", use a finer scale, or make both arms from one stock" : " or use a finer scale"}.`,
  dose: ({ doseMillilitres }, { dosesWeighed }) => {
    const by =
      dosesWeighed === true
        ? "or a finer scale for the doses"
        : dosesWeighed === false
          ? "a calibrated pipette, or dosing by weight"
          : "a calibrated pipette, or dosing by weight on a fine scale";
    return `Dose more exactly: a weaker stock in a larger dose than ${doseMillilitres} mL, ${by}.`;
  },
  beverage: () => "Weigh the beverage on a finer scale and dose in proportion to it.",
  kettle: (plan, { way }) =>
    way !== "double-dummy" && sameRecipe(plan)
      ? "Heat under a lid and weigh what is lost, or take the double dummy, in which the loss drops out."
      : "Heat under a lid and weigh what is lost.",
  volume: () => "Make batch and stock up by weight, or in a flask of a finer class.",
};
