import { gridOf } from "../../statistics/decimals.ts";
import { heterogeneity } from "../../statistics/strata.ts";
import { twoWay } from "../../statistics/variance.ts";
import type { Homogeneity } from "../endpoint-finding.ts";
import { groupBy, type Observation } from "../observations.ts";
import { tasterMeans } from "./taster-means.ts";

/**
 * Whether coffees share one proportion right, or one lean (Pearson's chi-square). For display: no
 * headline rests on it. Null with one coffee or when all answers are alike.
 */
export function homogeneityOfPicks(observations: readonly Observation[]): Homogeneity | null {
  const coffees = [...byCoffee(observations).values()].map((own) => ({
    correct: own.filter(({ value }) => value === 1).length,
    assessments: own.length,
  }));
  if (coffees.length < 2) return null;
  const { statistic, df, pValue } = heterogeneity(coffees);
  if (statistic === null || pValue === null) return null;
  return { method: "pearson", statistic, df, errorDf: null, pValue };
}

/**
 * Treatment × coffee interaction of scores: over the tasters who scored every coffee, do the mean
 * differences differ between coffees? Taster × coffee is the error. For display. Null with one
 * coffee, fewer than two such tasters, or no spread.
 */
export function homogeneityOfScores(observations: readonly Observation[]): Homogeneity | null {
  const coffees = [...byCoffee(observations).values()].map(
    (own) => new Map(tasterMeans(own).map(({ seatId, value }) => [seatId, value])),
  );
  const [first] = coffees;
  if (!first || coffees.length < 2) return null;
  const complete = [...first.keys()].filter((seat) => coffees.every((means) => means.has(seat)));
  if (complete.length < 2) return null;
  const cells = complete.flatMap((seat) => coffees.map((means) => means.get(seat) ?? 0));
  const { f, df, errorDf, pValue } = twoWay(gridOf(cells), coffees.length).treatment;
  if (f === null || pValue === null) return null;
  return { method: "treatment-by-coffee", statistic: f, df, errorDf, pValue };
}

const byCoffee = (observations: readonly Observation[]) =>
  groupBy(observations, ({ coffeeId }) => coffeeId);
