import { gridOf } from "../../statistics/decimals.ts";
import { moments } from "../../statistics/descriptive.ts";
import type { Study } from "../../statistics/synthesis.ts";
import { groupBy } from "../observations.ts";
import type { SessionAnswers } from "./session-answers.ts";

/** Why a session has no effect with a variance to combine. */
export type EffectRefusal = "no-answers" | "too-few" | "no-spread" | "expected-other";

export type SessionEffect =
  | ({ ok: true; answers: number } & Study)
  | { ok: false; refusal: EffectRefusal };

/**
 * One session's effect and its sampling variance, on the scale that sessions are added up on, B less
 * A (for swapped treatments the other way round). Tasters are the unit of picks and scores, brew pairs of
 * yields; between sessions, pots and people vary too, which the spread between sessions takes up.
 */
export function sessionEffect(session: SessionAnswers): SessionEffect {
  const { unit, swapped, contrary } = session;
  if (contrary) return { ok: false, refusal: "expected-other" };
  const found =
    unit === "yield-points"
      ? meanOf(session.yields.map(({ value }) => value))
      : overTasters(session);
  if (!found.ok || !swapped || unit === "distinguishers" || unit === "lean-of-three") return found;
  return { ...found, effect: -found.effect };
}

function overTasters(session: SessionAnswers): SessionEffect {
  const tasters = [...groupBy(session.observations, ({ seatId }) => seatId).values()];
  if (session.unit !== "scale-points") {
    return logOddsOf(
      tasters.map((own) => ({
        picked: own.reduce((sum, { value }) => sum + value, 0),
        answers: own.length,
      })),
    );
  }
  const means = tasters.map((own) => {
    const coffees = [...groupBy(own, ({ coffeeId }) => coffeeId).values()];
    return mean(coffees.map((inCoffee) => mean(inCoffee.map(({ value }) => value))));
  });
  const found = meanOf(means);
  return found.ok ? { ...found, answers: session.observations.length } : found;
}

interface TasterPicks {
  picked: number;
  answers: number;
}

/**
 * Log odds of a pick with half an answer added on either side, so that a unanimous session has a
 * value too (Haldane 1956; Anscombe 1956), and their variance 1/(x + ½) + 1/(n − x + ½) (Gart &
 * Zweifel 1967, Biometrika 54, 181). Where tasters repeat it is inflated by the design effect of
 * tasters as clusters (Rao & Scott 1992, Biometrics 48, 577), never deflated.
 */
export function logOddsOf(tasters: readonly TasterPicks[]): SessionEffect {
  const answers = tasters.reduce((sum, taster) => sum + taster.answers, 0);
  if (answers === 0) return { ok: false, refusal: "no-answers" };
  if (tasters.length < 2) return { ok: false, refusal: "too-few" };
  const picked = tasters.reduce((sum, taster) => sum + taster.picked, 0);
  const [more, less] = [picked + 0.5, answers - picked + 0.5];
  return {
    ok: true,
    answers,
    effect: Math.log(more / less),
    variance: (1 / more + 1 / less) * designEffect(tasters, picked / answers, answers),
  };
}

function designEffect(tasters: readonly TasterPicks[], share: number, answers: number): number {
  const binomial = answers * share * (1 - share);
  if (binomial === 0) return 1;
  const clustered = tasters.reduce(
    (sum, taster) => sum + (taster.picked - taster.answers * share) ** 2,
    0,
  );
  const repeats = answers > tasters.length;
  const correction = tasters.length / (tasters.length - 1);
  return repeats ? Math.max(1, (correction * clustered) / binomial) : 1;
}

/** A mean with the variance s²/n; one value, or values all alike, leave that unknown. */
function meanOf(values: readonly number[]): SessionEffect {
  if (values.length === 0) return { ok: false, refusal: "no-answers" };
  if (values.length < 2) return { ok: false, refusal: "too-few" };
  const { standardDeviation } = moments(gridOf(values));
  if (!standardDeviation) return { ok: false, refusal: "no-spread" };
  const variance = standardDeviation ** 2 / values.length;
  return { ok: true, effect: mean(values), variance, answers: values.length };
}

const mean = (values: readonly number[]) =>
  values.reduce((sum, value) => sum + value, 0) / values.length;
