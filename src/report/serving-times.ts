import {
  minutesSincePouring,
  type PlaceInWindow,
  placeInWindow,
  type ServingWindow,
  servingWindow,
} from "../experiment/pouring.ts";
import type { Evidence, UnblindedBallot } from "./evidence.ts";

/** Answers given before the serving window opened or after it closed. */
export interface TimesFinding {
  /** Ballots with a known time of pouring and of answering. */
  ballots: number;
  tooEarly: number;
  tooLate: number;
}

/** When cups were tasted, against the window that the plan gives them. Nobody is left out for it. */
export interface ServingFinding extends ServingWindow, TimesFinding {
  /** Ballots of which nobody knows when their cups were poured or when they were answered. */
  notKnown: number;
  /** In the plan's order; only those with a known time. */
  coffees: (TimesFinding & { coffeeId: string })[];
}

/** Null where the plan sets no window, or where the answers came from elsewhere. */
export function servingFinding(
  { plan, origin, pourings = [] }: Evidence,
  counted: readonly UnblindedBallot[],
): ServingFinding | null {
  const window = servingWindow(plan);
  if (window === null || origin === "imported") return null;
  const placed = counted.flatMap((ballot) => {
    const minutes = minutesSincePouring(ballot, pourings);
    const { coffeeId } = ballot;
    return minutes === null ? [] : [{ coffeeId, place: placeInWindow(minutes, window) }];
  });
  return {
    ...window,
    ...timesOf(placed),
    notKnown: counted.length - placed.length,
    coffees: plan.coffees
      .map(({ id }) => ({
        coffeeId: id,
        ...timesOf(placed.filter(({ coffeeId }) => coffeeId === id)),
      }))
      .filter(({ ballots }) => ballots > 0),
  };
}

function timesOf(placed: readonly { place: PlaceInWindow }[]): TimesFinding {
  const at = (wanted: PlaceInWindow) => placed.filter(({ place }) => place === wanted).length;
  return { ballots: placed.length, tooEarly: at("too-hot"), tooLate: at("too-cold") };
}
