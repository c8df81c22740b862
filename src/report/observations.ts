import type { Answer } from "../experiment/ballot.ts";
import { type Endpoint, type SetKind, setOf } from "../experiment/endpoint.ts";
import type { ControlKind, UnblindedBallot } from "./evidence.ts";

/** One answer to one question, as a number that the tests read. */
export interface Observation {
  seatId: string;
  coffeeId: string;
  pair: number;
  control: ControlKind | null;
  /**
   * Right or wrong: 1 when the answer was right, else 0. Pair: 1 when B was picked, 0 for A; in a control
   * pair 1 for the cup of the later pot letter, or the second cup of one pot. Score: B less A; in a
   * control pair later letter less earlier, or second cup less first.
   */
  value: number;
}

export interface Observed {
  observations: Observation[];
  /** Can't-tell answers, which leave the test and are counted. */
  cannotTell: Omit<Observation, "value">[];
}

/** Reads every ballot's answer to one endpoint; ballots that don't answer it are passed over. */
export function observe(endpoint: Endpoint, ballots: readonly UnblindedBallot[]): Observed {
  const observed: Observed = { observations: [], cannotTell: [] };
  const set = setOf(endpoint);
  for (const ballot of ballots) {
    const answer = ballot.set === set ? ballot.answers[endpoint.id] : undefined;
    if (answer === undefined) continue;
    const { seatId, coffeeId, pair, control } = ballot;
    const where = { seatId, coffeeId, pair, control };
    if ("cannotTell" in answer) {
      observed.cannotTell.push(where);
      continue;
    }
    const value = readValue(ballot, answer);
    if (value !== null) observed.observations.push({ ...where, value });
  }
  return observed;
}

function readValue(ballot: UnblindedBallot, answer: Answer): number | null {
  if ("scores" in answer) return scoreDifference(ballot, answer.scores);
  if (!("chosen" in answer)) return null;
  const chosen = ballot.cups.find((cup) => cup.code === answer.chosen);
  if (!chosen) return null;
  if (ballot.set === "ab") return chosen === secondOf(ballot) ? 1 : 0;
  const right = rightPosition(ballot);
  if (right === null) return null;
  return chosen.position === right ? 1 : 0;
}

/**
 * Serving position of the cup whose choice is right: the odd one of a triangle or 3-AFC, the one like
 * the reference of a duo-trio, the first one's fellow in a tetrad. Null where none is, as when a
 * mix-up left all three cups of a duo-trio without a match.
 */
export function rightPosition(served: {
  set: SetKind;
  oddPosition: number | null;
  fellowPosition?: number | null | undefined;
  cups: readonly { position: number }[];
}): number | null {
  const { set, oddPosition, fellowPosition = null, cups } = served;
  switch (set) {
    case "triangle":
    case "three-afc":
      return oddPosition;
    case "duo-trio":
      if (oddPosition === null) return null;
      return (
        cups.find(({ position }) => position > 1 && position !== oddPosition)?.position ?? null
      );
    case "tetrad":
      return fellowPosition;
    case "ab":
      return null;
  }
}

function scoreDifference(
  ballot: UnblindedBallot,
  scores: Readonly<Record<string, number>>,
): number | null {
  const second = secondOf(ballot);
  const first = ballot.cups.find((cup) => cup !== second);
  const high = second && scores[second.code];
  const low = first && scores[first.code];
  return high === undefined || low === undefined ? null : high - low;
}

/** The cup of a pair that a positive value speaks for. */
function secondOf(ballot: UnblindedBallot) {
  const [one, other] = ballot.cups.toSorted((a, b) => a.position - b.position);
  if (!one || !other) return undefined;
  if (one.treatment !== other.treatment) return one.treatment === "B" ? one : other;
  return one.potLetter > other.potLetter ? one : other;
}

/** The observations that compare the treatments. */
export const testOnly = <T extends { control: ControlKind | null }>(all: readonly T[]): T[] =>
  all.filter((observation) => observation.control === null);

/** Groups by a key, in the order of first appearance. */
export function groupBy<T>(all: readonly T[], keyOf: (item: T) => string): Map<string, T[]> {
  const groups = new Map<string, T[]>();
  for (const item of all) {
    const group = groups.get(keyOf(item));
    if (group) group.push(item);
    else groups.set(keyOf(item), [item]);
  }
  return groups;
}
