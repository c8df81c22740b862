import { z } from "zod";
import type { SessionEvent } from "./event.ts";
import type { Plan } from "./plan.ts";
import type { SessionState } from "./session.ts";

/** Cups of one coffee and pair, poured together at one time; a round poured anew has another. */
export interface Pouring {
  coffeeId: string;
  pair: number;
  /** ISO 8601 instant in UTC. */
  pouredAt: string;
}

/** A pouring as the log has it: by the sequence of the event that recorded it. */
export interface LoggedPouring extends Pouring {
  sequence: number;
  /** When it was recorded, whatever the time was corrected to. */
  recordedAt: string;
}

export const POURED = "round-poured";
export const POURING_CORRECTED = "pouring-corrected";

const pouredBody = z.object({ coffeeId: z.string(), pair: z.int(), pouredAt: z.string() });
/** Null when it turned out that nothing was poured. */
const correctedBody = z.object({ sequence: z.int(), pouredAt: z.string().nullable() });

/** The pourings of a session's log as they stand after every correction, earliest first. */
export function pouringsOf(events: readonly SessionEvent[]): LoggedPouring[] {
  const pourings = new Map<number, LoggedPouring>();
  for (const { kind, sequence, at, body } of events) {
    if (kind === POURED) {
      const { coffeeId, pair, pouredAt } = pouredBody.parse(body);
      pourings.set(sequence, { sequence, recordedAt: at, coffeeId, pair, pouredAt });
    }
    if (kind === POURING_CORRECTED) correct(pourings, correctedBody.parse(body));
  }
  return [...pourings.values()].toSorted(
    (one, other) =>
      Date.parse(one.pouredAt) - Date.parse(other.pouredAt) || one.sequence - other.sequence,
  );
}

function correct(
  pourings: Map<number, LoggedPouring>,
  { sequence, pouredAt }: z.infer<typeof correctedBody>,
): void {
  const pouring = pourings.get(sequence);
  if (pouredAt === null) pourings.delete(sequence);
  else if (pouring !== undefined) pourings.set(sequence, { ...pouring, pouredAt });
}

/** Pourings are recorded while cups are served, and corrected until the key is open. */
export const mayPour = (state: SessionState) => state === "sealed" || state === "open";
export const mayCorrectPouring = (state: SessionState) => mayPour(state) || state === "closed";

/** When a poured cup is to be tasted, in minutes from pouring; null on a side that the plan leaves open. */
export interface ServingWindow {
  fromMinutes: number | null;
  withinMinutes: number | null;
}

/** Null where the plan sets neither bound. */
export function servingWindow({ serving }: Pick<Plan, "serving">): ServingWindow | null {
  const fromMinutes = serving?.servingFromMinutes ?? null;
  const withinMinutes = serving?.windowMinutes ?? null;
  return fromMinutes === null && withinMinutes === null ? null : { fromMinutes, withinMinutes };
}

export type PlaceInWindow = "too-hot" | "inside" | "too-cold";

/** Where a moment so many minutes after pouring lies; both bounds belong to the window. */
export function placeInWindow(minutes: number, window: ServingWindow): PlaceInWindow {
  if (window.fromMinutes !== null && minutes < window.fromMinutes) return "too-hot";
  if (window.withinMinutes !== null && minutes > window.withinMinutes) return "too-cold";
  return "inside";
}

/**
 * Minutes from the latest pouring of an answer's coffee and pair before it until it was given; null
 * when either time is not known.
 */
export function minutesSincePouring(
  answer: { coffeeId: string; pair: number; answeredAt?: string | null },
  pourings: readonly Pouring[],
): number | null {
  if (typeof answer.answeredAt !== "string") return null;
  const given = Date.parse(answer.answeredAt);
  const before = pourings
    .filter(({ coffeeId, pair }) => coffeeId === answer.coffeeId && pair === answer.pair)
    .map(({ pouredAt }) => Date.parse(pouredAt))
    .filter((poured) => poured <= given);
  return before.length === 0 ? null : (given - Math.max(...before)) / 60_000;
}

const DAY_MINUTES = 24 * 60;

/**
 * The instant with a time of day, such as `14:05`, that lies nearest to `near`; null when it is no
 * time of day. `offsetMinutes` is how far UTC is ahead of the clock that was read.
 */
export function nearestMoment(time: string, near: string, offsetMinutes: number): string | null {
  const read = /^([01]?\d|2[0-3])[:.]([0-5]\d)$/.exec(time.trim());
  if (read === null) return null;
  const wanted = Number(read[1]) * 60 + Number(read[2]) + offsetMinutes;
  const minute = Math.floor(Date.parse(near) / 60_000);
  const ahead = (((wanted - minute) % DAY_MINUTES) + DAY_MINUTES) % DAY_MINUTES;
  const nearest = minute + (ahead > DAY_MINUTES / 2 ? ahead - DAY_MINUTES : ahead);
  return new Date(nearest * 60_000).toISOString();
}
