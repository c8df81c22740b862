import type { SeatProgress } from "../store/progress.ts";
import { counted } from "./plan-words.ts";

/** The room as the grid draws it: who sits, what is saved; nothing of any answer. */
export interface RoomView {
  summary: string;
  columns: number[];
  rows: { seat: number; status: string; cells: { state: string; label: string }[] }[];
}

/** Draws the grid from each seat's progress. */
export function roomView(seats: readonly SeatProgress[]): RoomView {
  const columns = Math.max(0, ...seats.map(({ sets }) => sets.length));
  return {
    summary: progressText(seats),
    columns: columnsOf(columns),
    rows: seats.map(({ seat, status, sets }) => ({
      seat,
      status,
      cells: columnsOf(columns).map((_, at) => {
        // A seat that was served a set again has one more than the others.
        const state = sets[at]?.state;
        return state === undefined
          ? { state: "none", label: "" }
          : { state, label: cellLabel(status, state) };
      }),
    })),
  };
}

function columnsOf(count: number): number[] {
  return Array.from({ length: count }, (_, at) => at + 1);
}

/** Nobody is awaited on a free seat, nor after leaving. */
function cellLabel(status: SeatProgress["status"], state: string): string {
  return status !== "tasting" && state === "waiting" ? "–" : state;
}

/** Seats taken, and sets saved of those expected from the seats taken. */
export function progressCounts(seats: readonly SeatProgress[]) {
  const taken = seats.filter(({ status }) => status !== "free");
  const expected = taken.flatMap(({ sets }) => sets).filter(({ state }) => state !== "void");
  const saved = expected.filter(({ state }) => state === "saved").length;
  return { seats: seats.length, taken: taken.length, expected: expected.length, saved };
}

/** The same in words. */
export function progressText(progress: readonly SeatProgress[]): string {
  const { seats, taken, expected, saved } = progressCounts(progress);
  return `${taken} of ${counted(seats, "seat")} taken; ${saved} of ${counted(expected, "set")} saved`;
}

/** Seats that have begun and not finished, with what they still owe. */
export function unfinished(seats: readonly SeatProgress[]): { seat: number; missing: string }[] {
  return seats
    .filter(({ status }) => status === "tasting")
    .map(({ seat, sets }) => ({
      seat,
      waiting: sets.filter(({ state }) => state === "waiting").length,
    }))
    .filter(({ waiting }) => waiting > 0)
    .map(({ seat, waiting }) => ({ seat, missing: `${counted(waiting, "set")} missing` }));
}
