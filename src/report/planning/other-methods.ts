import { dPrimeOf, methods, proportionCorrectAt } from "../../statistics/discrimination.ts";
import type { MethodName } from "../../statistics/methods/method.ts";
import { panelSize } from "../../statistics/panel-size.ts";

/** What each method takes to find the same difference, the triangle first. */
export interface OtherMethods {
  /** The difference that the triangle's share of people amounts to. */
  dPrime: number;
  needed: { method: MethodName; answers: number; cups: number }[];
}

/**
 * Methods compare through d′ alone: a share who can tell is not the same thing in another one. So the
 * share who notice in triangles becomes a d′, and that the number of answers, each from someone else,
 * that other methods need from which the power never falls below again; pairs two-sided. Null where
 * d′ has no finite value.
 */
export function otherMethods(
  noticing: number,
  { alpha, power }: { alpha: number; power: number },
): OtherMethods | null {
  const dPrime = dPrimeOf("triangle", proportionCorrectAt(noticing, methods.triangle.guessing));
  if (dPrime === null) return null;
  const names = ["triangle", "tetrad", "duo-trio", "paired-comparison", "three-afc"] as const;
  return {
    dPrime,
    needed: names.flatMap((method) => {
      const sides = method === "paired-comparison" ? "two" : "one";
      const effect = { dPrime };
      const size = panelSize({ method, sides, goal: "difference", alpha, power, effect });
      if (size === null) return [];
      const cups = methods[method].sequences[0]?.length ?? 0;
      return [{ method, answers: size.stableAssessments ?? size.assessments, cups }];
    }),
  };
}
