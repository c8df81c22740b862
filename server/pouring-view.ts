import {
  mayCorrectPouring,
  mayPour,
  placeInWindow,
  type ServingWindow,
  servingWindow,
} from "../src/experiment/pouring.ts";
import type { RoundToPour } from "./pouring.ts";
import type { SealedSession } from "./sealed-session.ts";

/** An instant to show: UTC hours and minutes, which a script turns into the device's own. */
export interface Moment {
  iso: string;
  clock: string;
}

interface RoundState {
  /** Before `at`, such as “too hot until”; null where nothing is to be said but when it was poured. */
  words: string | null;
  at: Moment | null;
  kind: "not-poured" | "poured" | "too-hot" | "inside" | "too-cold";
}

/** A round with its last pouring and what that means for its cups now. */
export interface RoundView extends RoundState {
  round: number;
  coffee: string;
  letters: string;
  /** Pourings that this page knows of. */
  known: number;
  poured: Moment | null;
  again: boolean;
  mayPour: boolean;
  /** Event that recorded the last pouring, while its time may be corrected. */
  correctable: number | null;
}

export interface PouringView {
  hint: string;
  rounds: RoundView[];
  /** Milliseconds until a state changes by itself; null when none will. */
  turnsIn: number | null;
}

/** How a session's rounds stand at a moment. */
export function pouringView(
  session: Pick<SealedSession, "plan" | "state">,
  rounds: readonly RoundToPour[],
  now: Date,
): PouringView {
  // After closing nobody tastes, so no cup is too hot or too cold any more.
  const window = mayPour(session.state) ? servingWindow(session.plan) : null;
  const turns = rounds.flatMap(({ pourings }) => turnsAfter(pourings.at(-1)?.pouredAt, window));
  const ahead = turns.map((at) => at - now.getTime()).filter((wait) => wait > 0);
  return {
    hint: hintOf(session.plan.recipe.servingTemperatureCelsius, servingWindow(session.plan)),
    rounds: rounds.map((round) => {
      const shown = stateOf(round, { window, state: session.state }, now);
      return roundView(session, round, shown);
    }),
    turnsIn: ahead.length === 0 ? null : Math.min(...ahead),
  };
}

function roundView(
  { state }: Pick<SealedSession, "state">,
  { round, coffee, letters, pourings }: RoundToPour,
  shown: RoundState,
): RoundView {
  const last = pourings.at(-1);
  return {
    ...shown,
    round,
    coffee,
    letters: letters.join(" and "),
    known: pourings.length,
    poured: last === undefined ? null : momentOf(Date.parse(last.pouredAt)),
    again: last !== undefined,
    mayPour: mayPour(state),
    correctable: mayCorrectPouring(state) ? (last?.sequence ?? null) : null,
  };
}

function stateOf(
  { pourings }: RoundToPour,
  { window, state }: { window: ServingWindow | null; state: SealedSession["state"] },
  now: Date,
): RoundState {
  const pouredAt = pourings.at(-1)?.pouredAt;
  if (pouredAt === undefined) {
    const words = mayPour(state) ? "not poured yet" : "pouring not recorded";
    return { words, at: null, kind: "not-poured" };
  }
  const poured = Date.parse(pouredAt);
  if (window === null) return { words: null, at: null, kind: "poured" };
  const { fromMinutes, withinMinutes } = window;
  const after = (minutes: number | null) =>
    minutes === null ? null : momentOf(poured + minutes * 60_000);
  const kind = placeInWindow((now.getTime() - poured) / 60_000, window);
  if (kind === "too-hot") return { kind, words: "too hot until", at: after(fromMinutes) };
  if (kind === "too-cold") return { kind, words: "too cold since", at: after(withinMinutes) };
  return withinMinutes === null
    ? { kind, words: "to be tasted since", at: after(fromMinutes) }
    : { kind, words: "to be tasted until", at: after(withinMinutes) };
}

/** When a poured round goes from one state to the next. */
function turnsAfter(pouredAt: string | undefined, window: ServingWindow | null): number[] {
  if (pouredAt === undefined || window === null) return [];
  const { fromMinutes, withinMinutes } = window;
  const poured = Date.parse(pouredAt);
  return [
    ...(fromMinutes === null ? [] : [poured + fromMinutes * 60_000]),
    // The last moment still belongs to the window.
    ...(withinMinutes === null ? [] : [poured + withinMinutes * 60_000 + 1]),
  ];
}

export function momentOf(milliseconds: number): Moment {
  const iso = new Date(milliseconds).toISOString();
  return { iso, clock: iso.slice(11, 16) };
}

function hintOf(celsius: number, window: ServingWindow | null): string {
  const served = `Served at ${celsius} °C or below.`;
  if (window === null)
    return `${served} The plan sets no serving window; times are kept all the same.`;
  const { fromMinutes, withinMinutes } = window;
  const sides = [
    ...(fromMinutes === null ? [] : [`too hot before ${fromMinutes} min`]),
    ...(withinMinutes === null ? [] : [`too cold after ${withinMinutes} min`]),
  ];
  return `${served} Counted from pouring: ${sides.join(", ")}. The report says how many answers came outside; it leaves none out.`;
}
