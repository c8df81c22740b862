import { groupBy, type Observation } from "../observations.ts";

/** Someone answered more than once, so that answers and tasters are not the same number. */
export function anyoneRepeats(observations: readonly Observation[]): boolean {
  return new Set(observations.map(({ seatId }) => seatId)).size < observations.length;
}

/** Each taster's mean value, with the number of answers behind it. */
export function tasterMeans(observations: readonly Observation[]) {
  return [...groupBy(observations, ({ seatId }) => seatId)].map(([seatId, own]) => ({
    seatId,
    answers: own.length,
    value: mean(own.map(({ value }) => value)),
  }));
}

export function mean(values: readonly number[]): number {
  return sum(values) / values.length;
}

export function sum(values: readonly number[]): number {
  return values.reduce((total, value) => total + value, 0);
}
